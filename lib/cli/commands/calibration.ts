import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import {
  type CalibrationDrift,
  type CalibrationLine,
  type CalibrationRecord,
  calibrationDrift,
  fitCalibration,
  settingFor,
  trueValue,
} from "../../models/index.js";
import { fixed, significant } from "../../numeric/index.js";
import { readTable, type TableSource, tableColumns } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { findingsBelow, textTable } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .option("--unit <unit>", "unit to work in, such as m/min or A (default: that of the column set)")
    .option("--at <value>", "setting at which drift matters, in that unit (default: the middle one)", Number)
    .addOption(new DecimalOption())
    .action(
      async (file: string, options: DecimalOptions & { unit?: string; at?: number; json?: boolean }) => {
        const text = await readText(io, file);
        const headed = tableColumns(text, file).find(
          ({ name, unit }) => name === "set" && unit !== "1",
        )?.unit;
        const unit = options.unit ?? headed;
        if (unit === undefined) {
          throw new BeadbenchError(
            "bad-argument",
            `${file}: the column set states no unit: head it "set [m/min]" or the like, or name one with --unit`,
          );
        }
        const records = calibrationRecords(text, { file, decimal: options.decimal }, unit);
        const lines = records.map(fitCalibration);
        const last = lines.at(-1)!;
        const sets = records.flatMap(({ points }) => points.map(({ set }) => set)).sort((a, b) => a - b);
        const at = options.at ?? sets[Math.floor(sets.length / 2)]!;
        if (!Number.isFinite(at))
          throw new BeadbenchError("bad-argument", "--at needs a number in the unit given");
        const drift = records.length < 3 ? undefined : calibrationDrift(records, at);
        const value = trueValue(last, at);
        const found: Calibration = { lines, at, trueValue: value, settingFor: settingFor(last, at), drift };
        answer({ io, options, result: found, text: () => calibrationText(found, unit) });
      },
    );
}

/** What the readings tell of the meter or drive. */
interface Calibration {
  readonly lines: readonly CalibrationLine[];
  readonly at: number;
  readonly trueValue: ReturnType<typeof trueValue>;
  readonly settingFor: number;
  readonly drift: CalibrationDrift | undefined;
}

function calibrationText({ lines, at, trueValue: value, settingFor: set, drift }: Calibration, unit: string) {
  const shown = [...lines.flatMap(({ findings }) => findings), ...(drift?.findings ?? [])];
  return [
    textTable(
      [{ title: "date" }, { title: "offset", align: "right" }, { title: "gain", align: "right" }],
      lines.map(({ date, offset, gain }) => [date, significant(offset, 4), significant(gain, 5)]),
    ),
    `\nLast line: set ${withUnit(significant(at), unit)} is really ${significant(value.estimate, 4)} (${significant(value.lower)} to ${significant(value.upper)}); for a true ${significant(at)} set ${significant(set, 4)}\n`,
    drift === undefined
      ? "Drift needs calibrations on three days or more.\n"
      : `Drift per 30 days ${fixed(100 * drift.per30Days.estimate, 1)} % (${fixed(100 * drift.per30Days.lower, 1)} to ${fixed(100 * drift.per30Days.upper, 1)} %)${drift.due === null ? "" : `; calibrate again by ${drift.due}`}\n`,
    findingsBelow(shown),
  ].join("");
}

/** Readings grouped by date, in order of time. */
function calibrationRecords(text: string, source: TableSource, unit: string): readonly CalibrationRecord[] {
  const rows = readTable(
    text,
    [
      { name: "date", unit: "text" },
      { name: "set", unit },
      { name: "measured", unit },
    ],
    source,
  );
  const dates = [...new Set(rows.map(({ date }) => String(date)))].sort();
  return dates.map((date) => ({
    date,
    points: rows
      .filter((row) => row.date === date)
      .map(({ set, measured }) => ({ set: Number(set), measured: Number(measured) })),
  }));
}
