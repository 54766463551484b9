import { resolve } from "node:path";
import type { Command } from "commander";
import { counted } from "../../numeric/index.js";
import { formatPreset, parsePreset } from "../../presets/index.js";
import { openSharedStudy, parseSharedStudy } from "../../study/share/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { readText, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { findingsBelow } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .addHelpText("after", "\nThe folder is new; a preset that came along is written into it as preset.json.")
    .action(async (file: string, folder: string, options: AnswerOptions) => {
      const shared = parseSharedStudy(await readText(io, file), file);
      const preset = shared.preset && parsePreset(JSON.stringify(shared.preset.content), `${file}, preset`);
      const study = openSharedStudy(resolve(io.folder, folder), shared);
      if (preset !== undefined) {
        const made = study.entries[(shared.preset?.madeFrom ?? 0) - 1];
        const basis = made === undefined ? preset.basis : { ...preset.basis, journal: made.hash };
        writeText(io, `${folder}/preset.json`, formatPreset({ ...preset, basis }));
      }
      const { coupons, integrity, definition } = study;
      answer({
        io,
        options,
        result: {
          study: definition.name,
          coupons: coupons.length,
          leftOut: shared.leftOut,
          findings: integrity,
        },
        text: () =>
          `${definition.name}: ${counted(coupons.length, "coupon")} in ${folder}${shared.leftOut.length === 0 ? "" : `\nWhoever shared it left out:\n${shared.leftOut.map((what) => `  ${what}\n`).join("")}`.trimEnd()}\n${findingsBelow(integrity)}`,
      });
    });
}
