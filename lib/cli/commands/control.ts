import { statSync } from "node:fs";
import { resolve } from "node:path";
import type { Command } from "commander";
import { chartControl, renderSvg } from "../../charts/index.js";
import {
  type ControlChart,
  type ControlReading,
  controlChart,
  controlSeries,
} from "../../endurance/index.js";
import { BeadbenchError, onlyDefined, ownValue } from "../../errors/index.js";
import { percent, significant } from "../../numeric/index.js";
import { readNumberedTable, tableColumns } from "../../study/index.js";
import { suggestion } from "../../study/shape/index.js";
import { withUnit } from "../../units/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { typedIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { findingsBelow, textTable } from "../text.js";

interface ControlCommandOptions extends DecimalOptions {
  readonly response?: string;
  readonly column?: string;
  readonly baseline?: number;
  readonly centre?: string;
  readonly sd?: string;
  readonly svg?: string;
  readonly json?: boolean;
}

/** What is held against itself, and where it comes from. */
interface Source {
  readonly name: string;
  readonly unit: string;
  readonly from: string;
  readonly readings: readonly ControlReading[];
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--response <name>", "of a study: measured response (default: the first that has enough coupons)")
    .option("--column <name>", "of a CSV file: column to look at")
    .option("--baseline <n>", "take centre and scatter from the first so many (default: all)", wholeNumber(4))
    .option("--centre <value>", 'centre that is known otherwise, such as "6 mm"')
    .option("--sd <value>", 'scatter of a steady rig that is known otherwise, such as "0.1 mm"')
    .addOption(new DecimalOption())
    .addOption(new OutputOption("--svg <file>", "draw the charts"))
    .addHelpText(
      "after",
      `
Of a study it takes the coupons planned as controls, else those of the setting most often repeated. A CSV file has one
reading per row, in order of time; a column coupon, date or label names them, a column change says what was changed before.`,
    )
    .action(async (path: string, options: ControlCommandOptions) => {
      const source = isFolder(io, path) ? fromStudy(io, path, options) : await fromTable(io, path, options);
      const known = (text: string | undefined): number | undefined =>
        text === undefined ? undefined : typedIn(text, source.unit);
      const control = controlChart(
        source.readings,
        onlyDefined({ baseline: options.baseline, centre: known(options.centre), sd: known(options.sd) }),
      );
      const { name, unit } = source;
      if (options.svg !== undefined)
        writeText(io, options.svg, await renderSvg(chartControl({ quantity: { name, unit }, control })));
      answer({ io, options, result: { name, unit, ...control }, text: () => controlText(source, control) });
    });
}

const isFolder = (io: CommandIo, path: string): boolean =>
  path !== "-" && statSync(resolve(io.folder, path), { throwIfNoEntry: false })?.isDirectory() === true;

function fromStudy(io: CommandIo, path: string, { response, column }: ControlCommandOptions): Source {
  if (column !== undefined)
    throw new BeadbenchError(
      "bad-argument",
      `--column is for a CSV file; ${path} is a study: use --response`,
    );
  const { response: name, unit, readings, chosen, settings } = controlSeries(studyAt(io, path), response);
  const at = Object.entries(settings).map(([setting, value]) => `${setting} ${value}`);
  return {
    name,
    unit,
    readings,
    from: `${chosen === "control" ? "control coupons" : "coupons of the setting most often repeated"} (${at.join(", ")})`,
  };
}

/** Columns that may name the readings. */
const labels = ["coupon", "label", "date"] as const;

async function fromTable(io: CommandIo, path: string, options: ControlCommandOptions): Promise<Source> {
  const text = await readText(io, path);
  const columns = tableColumns(text, path);
  const names = columns
    .map(({ name }) => name)
    .filter((name) => name !== "change" && !labels.some((label) => label === name));
  const chosen = options.column ?? (names.length === 1 ? names[0] : undefined);
  const column = columns.find(({ name }) => name === chosen);
  if (chosen === undefined || column === undefined) {
    const why =
      chosen === undefined
        ? `say which column of ${path} to look at: --column ${names.join(" or ")}`
        : `${path} has no column "${chosen}"${suggestion(chosen, names) || `; it has ${names.join(", ")}`}`;
    throw new BeadbenchError("bad-argument", why);
  }
  const { rows } = readNumberedTable(
    text,
    [
      { name: column.name, unit: column.unit },
      ...[...labels, "change"].map((name) => ({ name, unit: "text", optional: true })),
    ],
    { file: path, ...onlyDefined({ decimal: options.decimal }) },
  );
  return {
    name: column.name,
    unit: column.unit,
    from: path,
    readings: rows.map(({ row, line }) => ({
      label: String(row.coupon ?? row.label ?? row.date ?? line),
      value: Number(ownValue(row, column.name)),
      ...(row.change === undefined ? {} : { change: String(row.change) }),
    })),
  };
}

function controlText({ name, unit, from }: Source, control: ControlChart): string {
  const { points, centre, sd, lower, upper, widening, chance, baseline, findings } = control;
  const rows = points.map(({ label, value, average, sumUp, sumDown, signals, change }) => [
    label,
    significant(value, 4),
    significant(average, 4),
    significant(sumUp / sd, 2),
    significant(sumDown / sd, 2),
    [
      ...signals.map((signal) => words[signal]),
      ...(change === undefined ? [] : [`after change: ${change}`]),
    ].join("; "),
  ]);
  const right = (title: string) => ({ title, align: "right" as const });
  return [
    `${name}: ${points.length} readings of ${from}\n`,
    `centre ${withUnit(significant(centre, 4), unit)}, scatter of a steady rig ${withUnit(significant(sd), unit)}${baseline === 0 ? " (given)" : ` (from ${baseline} readings)`}; single readings within ${withUnit(`${significant(lower, 4)} to ${significant(upper, 4)}`, unit)}\n`,
    `${widening > 1 ? `limits ${significant(widening)} times as wide as with centre and scatter known; ` : ""}a steady rig signals in ${percent(chance)} of records this long, or more often where readings of one day run together\n\n`,
    textTable(
      [
        { title: "reading" },
        right(unit === "1" ? "value" : `value [${unit}]`),
        right("average"),
        right("sum up [sd]"),
        right("sum down [sd]"),
        { title: "signal" },
      ],
      rows,
    ),
    findingsBelow(findings),
  ].join("");
}

const words = {
  single: "far off",
  average: "average beyond limit",
  sum: "sum beyond limit",
} as const;
