import type { Command } from "commander";
import { type ConstrainedFit, fitStudy, type PowerLawFit, type StudyFit } from "../../models/index.js";
import { percent, significant } from "../../numeric/index.js";
import { printJson, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { share, words } from "../options.js";
import { warnOfRefusals } from "../outcome.js";
import { findingsText, textTable, wrap } from "../text.js";

interface FitCommandOptions {
  readonly without?: readonly string[];
  readonly level: number;
  readonly json?: boolean;
}

export function registerFit(root: Command, io: CommandIo): void {
  root
    .command("fit <study>")
    .description("fit how the bead answers to the settings, with honest uncertainty")
    .option("--without <coupons>", "coupons to leave out, parted by commas; the result says so", words)
    .option("--level <share>", "coverage of the intervals", share, 0.95)
    .option("--json", "print the result as JSON")
    .action((folder: string, options: FitCommandOptions) => {
      const study = studyAt(io, folder);
      warnOfRefusals(io, study);
      const fit = fitStudy(study.definition, study.coupons, {
        level: options.level,
        ...(options.without === undefined ? {} : { without: options.without }),
      });
      if (options.json === true) printJson(io, fit);
      else io.out(fitText(fit));
    });
}

/** The fit as text for a terminal. */
export function fitText(fit: StudyFit): string {
  return [
    ...(fit.constrained === undefined ? [] : [constrainedText(fit.constrained), "\n"]),
    ...fit.powerLaws.flatMap((law) => [powerLawText(law), "\n"]),
    `${wrap(`Form for the bead: ${fit.chosen === "constrained" ? "constrained" : "free power laws"}. ${fit.explanation}.`)}\n`,
    fit.findings.length === 0 ? "" : `\n${findingsText(fit.findings)}`,
  ].join("");
}

const range = (x: { readonly lower: number; readonly upper: number }): string =>
  `${significant(x.lower)} to ${significant(x.upper)}`;

function exponentTable(exponents: PowerLawFit["exponents"], level: number): string {
  return textTable(
    [
      { title: "  setting" },
      { title: "exponent", align: "right" },
      { title: "std. error", align: "right" },
      { title: `${percent(level)} interval`, align: "right" },
    ],
    exponents.map((e) => [
      `  ${e.term}`,
      e.estimate.toFixed(3),
      e.standardError.toFixed(3),
      `${e.lower.toFixed(2)} to ${e.upper.toFixed(2)}`,
    ]),
  );
}

function powerLawText(law: PowerLawFit): string {
  const reference = law.terms
    .filter(({ level }) => level === undefined)
    .map(({ factor, unit, reference: value }) => `${factor} ${significant(value)} ${unit}`)
    .join(", ");
  const test = law.lackOfFit;
  return [
    `${law.response} [${law.unit}], power law, ${law.error === "proportional" ? "scatter in proportion to the value" : "the same scatter everywhere"}, ${law.n} coupons\n`,
    `  ${significant(law.atReference.estimate)} (${range(law.atReference)}) at ${reference}\n`,
    exponentTable(law.exponents, law.level),
    `  scatter of one coupon ${percent(law.relativeSd, 1)}, leave-one-out error ${percent(law.leaveOneOutError, 1)}, ${law.df} degrees of freedom\n`,
    test === undefined
      ? "  no repeats: lack of fit cannot be tested\n"
      : `  lack of fit against repeats: F = ${test.f.toFixed(2)}, p = ${test.p.toPrecision(2)}\n`,
    law.held.length === 0 ? "" : `  held constant, so unknown: ${law.held.join(", ")}\n`,
  ].join("");
}

function constrainedText(fit: ConstrainedFit): string {
  return [
    `bead_width and bead_height together (height from mass balance), ${fit.n} coupons\n`,
    `  width ${significant(fit.widthAtReference.estimate)} mm (${range(fit.widthAtReference)}), fullness ${fit.fullness.estimate.toFixed(3)} (${range(fit.fullness)}) with ${percent(fit.depositionEfficiency)} of the wire deposited\n`,
    exponentTable(fit.exponents, fit.level),
    `  scatter of one coupon: width ${percent(fit.width.relativeSd, 1)}, height ${percent(fit.height.relativeSd, 1)}; leave-one-out error: width ${percent(fit.width.leaveOneOutError, 1)}, height ${percent(fit.height.leaveOneOutError, 1)}\n`,
  ].join("");
}
