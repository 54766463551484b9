import { InvalidArgumentError } from "commander";
import { levelPercent, significant } from "../numeric/figures/index.js";
import type { CurveFit } from "../regression/curve/index.js";
import { findingsBelow, textTable } from "./text.js";

/** Gathers first guesses, given as `a=2` once, repeatedly, or parted by commas. */
export function startValues(
  text: string,
  before: Readonly<Record<string, number>> = {},
): Readonly<Record<string, number>> {
  const guesses = text.split(",").map((part): [string, number] => {
    const [name = "", value = ""] = part.split("=").map((piece) => piece.trim());
    if (name === "" || value === "" || !Number.isFinite(Number(value)))
      throw new InvalidArgumentError("Write parameter=number, such as a=2 or b=-0.5.");
    return [name, Number(value)];
  });
  return { ...before, ...Object.fromEntries(guesses) };
}

/** A formula's fit as text for a terminal. */
export function curveText(fit: CurveFit, unit: string): string {
  const head = `${fit.response} = ${fit.formula}, ${fit.fitted.length} rows\n`;
  if (fit.residualSd === undefined)
    return `${head}no answer: the search ended without a minimum (${fit.status}); try --start with guesses of your own\n${findingsBelow(fit.findings)}`;
  const level = levelPercent(fit.parameters[0]?.level ?? 0.95);
  return [
    head,
    textTable(
      [
        { title: "parameter" },
        { title: "value", align: "right" },
        { title: `${level} interval`, align: "right" },
      ],
      fit.parameters.map(({ name, estimate, lower, upper, openBelow, openAbove }) => [
        name,
        significant(estimate, 4),
        `${openBelow ? "below " : ""}${significant(lower)} to ${openAbove ? "above " : ""}${significant(upper)}`,
      ]),
    ),
    `\nScatter of a row ${significant(fit.residualSd)}${unit === "1" ? "" : ` ${unit}`}, ${fit.df} degrees of freedom\n`,
    findingsBelow(fit.findings),
  ].join("");
}
