import type { Command } from "commander";
import { type Between, type GaugeReading, type GaugeStudy, gaugeStudy } from "../../endurance/index.js";
import { BeadbenchError } from "../../errors/index.js";
import { brief, fixed, levelPercent, percent, significant } from "../../numeric/index.js";
import { readTable, tableColumns } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { findingsBelow, textTable, wrap } from "../text.js";

interface GaugeOptions extends DecimalOptions {
  readonly unit?: string;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--unit <unit>", "unit to work in, that of the response in study.json (default: the file's)")
    .addOption(new DecimalOption())
    .addHelpText(
      "after",
      `
Read 10 parts over the range of the study three times each, in mixed order, lifting the gauge off and without seeing the
earlier readings; with several people each reads every part as often.`,
    )
    .action(async (file: string, options: GaugeOptions) => {
      const text = await readText(io, file);
      const stated = tableColumns(text, file).find(({ name }) => name === "reading")?.unit;
      const unit = options.unit ?? stated ?? "1";
      if (stated !== undefined && unit === "1")
        throw new BeadbenchError(
          "bad-csv",
          `${file}: readings need their unit: write the heading as reading [mm], or say --unit mm where every cell carries one`,
        );
      const readings = readTable(
        text,
        [
          { name: "part", unit: "text" },
          { name: "operator", unit: "text", optional: true },
          { name: "reading", unit },
        ],
        { file, decimal: options.decimal },
      ).map(
        ({ part, operator, reading }): GaugeReading => ({
          part: String(part),
          ...(operator === undefined ? {} : { operator: String(operator) }),
          value: Number(reading),
        }),
      );
      const study = gaugeStudy(readings);
      answer({ io, options, result: { unit, ...study }, text: () => gaugeText(study, unit) });
    });
}

const between = ({ lower, upper }: Between, show: (value: number) => string): string =>
  `${show(lower)} to ${show(upper)}`;

function gaugeText(study: GaugeStudy, unit: string): string {
  const { components, categories, rows, pooled, interactionP, level, gaugeSd } = study;
  const right = (title: string) => ({ title, align: "right" as const });
  const shown = components.filter(({ name }) => study.operators > 1 || name !== "reproducibility");
  const people = study.operators > 1 ? `${study.operators} operators` : "one person";
  return [
    `${study.readings} readings: ${study.parts} parts, ${people}\n\n`,
    textTable(
      [{ title: "source" }, right("df"), right("sum of squares"), right("mean square")],
      rows.map(({ source, df, ss, ms }) => [source, String(df), significant(ss, 4), significant(ms, 4)]),
    ),
    interactionP === null
      ? "\n"
      : `Parts x operators: p = ${fixed(interactionP, 3)}${pooled ? ", counted among the repeats" : ": people differ more on some parts than on others"}\n\n`,
    textTable(
      [
        { title: "scatter from" },
        right(unit === "1" ? "sd" : `sd [${unit}]`),
        right(`${levelPercent(level)} interval`),
        right("share of variance"),
        right("interval"),
      ],
      shown.map(({ name, sd, share }) => [
        name,
        significant(sd.estimate),
        between(sd, significant),
        percent(share.estimate, 1),
        between(share, (value) => percent(value)),
      ]),
    ),
    `\nGroups of these parts it can tell apart: ${categories.estimate} (${between(categories, String)})\n`,
    `\nIn study.json, in every response read with this gauge whose unit is ${unit}:\n\n  "gaugeSd": ${brief(gaugeSd)}\n\n`,
    `${wrap(`That is ${withUnit(brief(gaugeSd), unit)} for one reading${study.operators > 1 ? " by whoever takes it" : " by the person who took these"}. The share depends on the parts chosen, the gauge's own scatter does not.`)}\n`,
    findingsBelow(study.findings),
  ].join("");
}
