import { basename, resolve } from "node:path";
import type { Command } from "commander";
import { BeadbenchError, parseJson, refusalOf } from "../../errors/index.js";
import { resolvePriors } from "../../models/index.js";
import { settingDigits } from "../../numeric/index.js";

import { isBoundedSetting, requireSetting, settingUnit } from "../../process/index.js";
import {
  createStudy,
  draftDefinitionFromCsv,
  parseStudyDefinition,
  type StudyDefinition,
} from "../../study/index.js";
import { convert, parseQuantity, sameDimension, withUnit } from "../../units/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";

interface NewOptions extends AnswerOptions {
  readonly from: string;
  readonly process?: string;
  readonly wire?: string;
  readonly diameter?: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption("--from <file>", "study.json to copy, or a CSV whose header and ranges make a draft")
    .option("--process <number>", "for a CSV: ISO 4063 number, 141 TIG, 131 MIG, 135 MAG, 15 plasma")
    .option("--wire <classification>", "for a CSV: wire as printed on the spool, such as ER308L")
    .option("--diameter <size>", 'for a CSV: wire diameter with its unit, such as "1.2 mm" or 0.045in')
    .action(async (folder: string, options: NewOptions) => {
      const text = await readText(io, options.from);
      const definition = options.from.toLowerCase().endsWith(".csv")
        ? draft(io, folder, text, options)
        : parseJson(text, options.from);
      const parsed = parseStudyDefinition(definition, options.from);
      requireRunnable(parsed, options.from);
      resolvePriors({ definition: parsed });
      const study = createStudy(resolve(io.folder, folder), definition);
      const { factors, responses } = study.definition;
      answer(
        io,
        options,
        { study: folder, definition: study.definition },
        () =>
          `started ${folder}: settings ${factors.map(({ name }) => name).join(", ")}; results ${responses.map(({ name }) => name).join(", ")}\n`,
      );
    });
}

/** Refuses a wire or a factor range that reaches beyond what any rig does. */
function requireRunnable({ wire, factors }: StudyDefinition, file: string): void {
  requireSetting("wire_diameter", convert(wire.diameter.value, wire.diameter.unit, "mm"));
  for (const { name, unit, kind, high } of factors) {
    if (kind === "category" || !isBoundedSetting(name) || !sameDimension(unit, settingUnit(name))) continue;
    const refusal = refusalOf(() => requireSetting(name, convert(high, unit, settingUnit(name))));
    if (refusal === undefined) continue;
    const where = `${file}: factor ${name}, high ${withUnit(settingDigits(high), unit)}`;
    throw new BeadbenchError(refusal.code, `${where}: ${refusal.message}`, { file, factor: name });
  }
}

function draft(io: CommandIo, folder: string, text: string, options: NewOptions): StudyDefinition {
  const { process, wire, diameter } = options;
  if (process === undefined || wire === undefined || diameter === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      'a CSV does not say the process and the wire: add --process 141 --wire ER308L --diameter "1.2 mm"',
    );
  }
  const { definition, notes } = draftDefinitionFromCsv(text, {
    name: basename(resolve(io.folder, folder)),
    process,
    wire: { classification: wire, diameter: parseQuantity(diameter, "mm") },
  });
  for (const note of notes) io.note(`${note}\n`);
  io.note(`This is a draft: look over ${folder}/study.json and state which beads are good ("spec").\n`);
  return definition;
}
