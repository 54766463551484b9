import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { judgeCoupon } from "../../models/index.js";
import { percent } from "../../numeric/index.js";
import { type Preset, parsePreset } from "../../presets/index.js";
import type { Coupon } from "../../study/index.js";
import { confirmClaim } from "../../window/index.js";
import { printJson, readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wrap } from "../text.js";

export function registerConfirm(root: Command, io: CommandIo): void {
  root
    .command("confirm <study>")
    .description("hold the chance a preset claims against the coupons run at its settings since it was made")
    .requiredOption("--preset <file>", "preset written by `beadbench preset --json`")
    .option("--json", "print the result as JSON")
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
        .map((coupon) => judgeCoupon(study.definition, coupon))
        .filter((verdict) => verdict === "passed" || verdict === "failed");
      const result = confirmClaim(
        preset.chance.value,
        verdicts.length,
        verdicts.filter((verdict) => verdict === "passed").length,
      );
      if (options.json === true) printJson(io, result);
      else {
        io.out(
          `${result.conforming} of ${result.coupons} coupons at the preset conformed; it claims ${percent(result.claimed)}\n${wrap(result.message)}\n`,
        );
      }
    });
}

function runAt(coupon: Coupon, preset: Preset): boolean {
  return (
    coupon.state === "logged" &&
    preset.settings.every(({ name, value }) => {
      const run = coupon.settings[name];
      return typeof value === "number" && typeof run === "number"
        ? Math.abs(run - value) <= 1e-9 * Math.max(Math.abs(value), 1)
        : String(run) === String(value);
    })
  );
}
