import type { Command } from "commander";
import { fitSection, type SectionFit } from "../../models/index.js";
import { fixed, levelPercent, percent, significant } from "../../numeric/index.js";
import { readTable } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { findingsText, textTable } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .option("--level-base", "y = 0 is the base already; default: points on both sides tell its tilt")
    .addOption(new DecimalOption())
    .action(async (file: string, options: DecimalOptions & { levelBase?: boolean; json?: boolean }) => {
      const rows = readTable(
        await readText(io, file),
        [
          { name: "x", unit: "mm" },
          { name: "y", unit: "mm" },
        ],
        { file, decimal: options.decimal },
      );
      const fit = fitSection(
        rows.map(({ x, y }) => ({ x: Number(x), y: Number(y) })),
        { base: options.levelBase === true ? "level" : "measured" },
      );
      answer({ io, options, result: fit, text: () => sectionText(fit) });
    });
}

function sectionText(fit: SectionFit): string {
  const row = (name: string, unit: string, m: SectionFit["width"]): readonly string[] => [
    `${name} [${unit}]`,
    significant(m.estimate),
    `${significant(m.lower)} to ${significant(m.upper)}`,
  ];
  return [
    `Outline ${fit.shape} (support ${percent(fit.candidates[0]?.support ?? 0)}), base tilted by ${fixed(fit.tilt, 2)} deg and levelled\n\n`,
    textTable(
      [
        { title: "measure" },
        { title: "value", align: "right" },
        { title: `${levelPercent(fit.level)} interval`, align: "right" },
      ],
      [
        row("width", "mm", fit.width),
        row("height", "mm", fit.height),
        row("area", "mm2", fit.area),
        row("toe angle, left", "deg", fit.toeAngles.left),
        row("toe angle, right", "deg", fit.toeAngles.right),
        row("asymmetry", "1", fit.asymmetry),
      ],
    ),
    `\nFullness ${fixed(fit.fullness, 3)}; area under the points ${significant(fit.tracedArea)} mm2; scatter ${significant(fit.residualSd)} mm\n`,
    fit.findings.length === 0 ? "" : `\n${findingsText(fit.findings)}`,
  ].join("");
}
