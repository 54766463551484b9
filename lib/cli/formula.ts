import { InvalidArgumentError } from "commander";
import { drawCurve, renderSvg } from "../charts/index.js";
import { BeadbenchError, ownValue } from "../errors/index.js";
import { levelPercent, significant } from "../numeric/figures/index.js";
import { counted } from "../numeric/index.js";
import type { CurveFit } from "../regression/curve/index.js";
import { formulaNames } from "../regression/formula/index.js";
import { tradeName } from "../study/definition/index.js";
import { suggestion } from "../study/shape/index.js";
import { withUnit } from "../units/index.js";
import { type AnswerOptions, answer } from "./answer.js";
import { writeText } from "./files.js";
import { type CommandIo, ExitStatus } from "./io.js";
import { findingsBelow, textTable } from "./text.js";

/** What the commands that fit a formula have in common. */
export interface FormulaOptions extends AnswerOptions {
  /** First guesses of parameters. */
  readonly start?: Readonly<Record<string, number>>;
  readonly level: number;
  /** File for a drawing. */
  readonly svg?: string;
}

export const START_HELP = "first guesses of parameters, such as a=2,b=0.5; 1 where none is given";

/** How a formula is written, for the help of a command. */
export const FORMULA_HELP = `In a formula columns go by their names or another word of the trade (wfs, volts); every other name, and every
name with a --start, is a parameter. Known: + - * / ^ ( ) pi exp log sqrt sin cos tan atan tanh abs.
All rows are taken to scatter alike; a row with an empty cell is left out.`;

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

/** The column a word means: by its name, in small letters, or by another word of the trade for it. */
export function columnMeant(word: string, names: readonly string[]): string | undefined {
  const small = word.toLowerCase();
  return (
    names.find((name) => name === word) ??
    names.find((name) => name === small) ??
    names.find((name) => tradeName(name) === tradeName(small))
  );
}

/**
 * The words of a formula that mean columns, and the response, each with its column. A word with a first guess is a
 * parameter, unless it is a column's very name.
 */
export function wordsOf(
  { formula, response, start = {} }: FormulaWords,
  names: readonly string[],
): ReadonlyMap<string, string> {
  const words = formulaNames(formula).flatMap((word): (readonly [string, string])[] => {
    const name = Object.hasOwn(start, word) && !names.includes(word) ? undefined : columnMeant(word, names);
    if (name === response && word !== response) {
      throw new BeadbenchError(
        "bad-argument",
        `"${word}" in the formula means ${name}, which the formula is to give; as a parameter give it a --start`,
      );
    }
    return name === undefined ? [] : [[word, name]];
  });
  return new Map([...words, [response, response]]);
}

/** What {@link wordsOf} reads. */
interface FormulaWords {
  readonly formula: string;
  readonly response: string;
  readonly start?: Readonly<Record<string, number>> | undefined;
}

/** The rows in which every cell holds a number. */
export function wholeRows(
  cells: readonly Readonly<Record<string, unknown>>[],
): readonly Readonly<Record<string, number>>[] {
  return cells.filter((row): row is Record<string, number> =>
    Object.values(row).every((cell) => typeof cell === "number" && Number.isFinite(cell)),
  );
}

/** A formula fitted for a command. */
export interface FormulaFit {
  readonly curve: CurveFit;
  /** Units by the words of the formula. */
  readonly units: Readonly<Record<string, string>>;
  /** Columns that a formula may ask for. */
  readonly known: readonly string[];
  /** Rows without a value that the formula needs. */
  readonly lacking: number;
}

/** Shorter names are too like each other for one to be taken for a slip in another. */
const SLIP_LETTERS = 4;

/** Prints a formula's fit and draws it where wished; a fit without an answer must not be taken for one. */
export async function answerCurve(
  io: CommandIo,
  options: FormulaOptions,
  { curve, units, known, lacking }: FormulaFit,
): Promise<void> {
  if (lacking > 0)
    io.note(`${counted(lacking, "row")} left out: a value that the formula needs is missing\n`);
  const others = known.filter((name) => name !== curve.response);
  for (const name of curve.fit.parameters.filter(({ length }) => length >= SLIP_LETTERS)) {
    const hint = suggestion(name, others);
    if (hint !== "") io.note(`"${name}" is no column and taken for a parameter${hint}\n`);
  }
  answer({
    io,
    options,
    result: curve,
    text: () => curveText(curve, ownValue(units, curve.response) ?? "1"),
  });
  if (curve.fit.status !== "converged") throw new ExitStatus(1);
  if (options.svg !== undefined) writeText(io, options.svg, await renderSvg(drawCurve(curve, units)));
}

/** A formula's fit as text for a terminal. */
function curveText(curve: CurveFit, unit: string): string {
  const { fit, variables } = curve;
  const head = `${curve.response} = ${curve.formula}, ${fit.observations.y.length} rows\nColumns: ${variables.join(", ") || "none"}. Parameters: ${fit.parameters.join(", ")}.\n`;
  if (fit.status !== "converged")
    return `${head}no answer: the search ended without a minimum (${fit.status})${fit.status === "singular" ? "" : "; try --start with guesses of your own"}\n${findingsBelow(curve.findings)}`;
  return [
    head,
    textTable(
      [
        { title: "parameter" },
        { title: "value", align: "right" },
        { title: `${levelPercent(curve.level)} interval`, align: "right" },
      ],
      curve.parameters.map(({ name, estimate, lower, upper, openBelow, openAbove }) => [
        name,
        significant(estimate, 4),
        `${openBelow ? "below " : ""}${significant(lower)} to ${openAbove ? "above " : ""}${significant(upper)}`,
      ]),
    ),
    `\nScatter of a row ${withUnit(significant(fit.residualSd), unit)}, ${fit.df} degrees of freedom\n`,
    findingsBelow(curve.findings),
  ].join("");
}
