import type { Command } from "commander";
import { BeadbenchError, ownValue } from "../../errors/index.js";
import { judgeCoupon } from "../../models/index.js";
import { percent } from "../../numeric/index.js";
import { type Preset, parsePreset } from "../../presets/index.js";
import type { Coupon } from "../../study/index.js";
import { type Confirmation, confirmClaim } from "../../window/index.js";
import { answer } from "../answer.js";
import { readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wrap } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption("--preset <file>", "preset written by `beadbench preset --json`")
    .addHelpText("after", "\nPlan such coupons with `beadbench next <study> --coupons 3 --confirm 3`.")
    .action(async (folder: string, options: { preset: string; json?: boolean }) => {
      const study = studyAt(io, folder);
      const preset = parsePreset(await readText(io, options.preset), options.preset);
      const made = study.entries.find(({ hash }) => hash === preset.basis.journal);
      if (preset.basis.journal !== undefined && made === undefined) {
        throw new BeadbenchError(
          "bad-argument",
          `${options.preset} was not made from this study: its journal holds no entry with hash ${preset.basis.journal.slice(0, 12)}...`,
        );
      }
      const verdicts = study.coupons
        .filter((coupon) => coupon.seq > (made?.seq ?? 0) && runAt(coupon, preset))
        .map((coupon) => judgeCoupon(study, coupon))
        .filter((verdict) => verdict === "passed" || verdict === "failed");
      const result = confirmClaim(
        preset.chance.value,
        verdicts.length,
        verdicts.filter((verdict) => verdict === "passed").length,
      );
      answer({ io, options, result, text: () => confirmText(result) });
    });
}

function confirmText({ conforming, coupons, claimed, message }: Confirmation): string {
  return `${conforming} of ${coupons} coupons at the preset conformed; it claims ${percent(claimed)}\n${wrap(message)}\n`;
}

function runAt(coupon: Coupon, preset: Preset): boolean {
  return (
    coupon.state === "logged" &&
    preset.settings.every(({ name, value }) => {
      const run = ownValue(coupon.settings, name);
      return typeof value === "number" && typeof run === "number"
        ? Math.abs(run - value) <= 1e-9 * Math.max(Math.abs(value), 1)
        : String(run) === String(value);
    })
  );
}
