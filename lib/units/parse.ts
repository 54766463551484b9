import { BeadbenchError, onlyDefined } from "../errors/index.js";
import { convert, findUnit, sameDimension, unitExamples, unitsLike } from "./convert.js";
import { withUnit } from "./label.js";
import { unitSpelt } from "./spelling.js";

/** A number with its unit symbol. */
export interface Quantity {
  readonly value: number;
  readonly unit: string;
}

/** What the place a quantity is read for says of it. */
export interface QuantityPlace {
  /** A unit of the wanted kind. */
  readonly like?: string;
  /** The unit of a bare number, where the place states it, as the heading of a column does. */
  readonly bare?: string;
  /** Whether a bare number is read where a shop has one unit only: A, V, Hz, deg. */
  readonly usual?: boolean;
}

/** Dimensions in which a shop uses one unit only, so that a bare number is clear. */
const singleUnit: ReadonlySet<string> = new Set(["current", "voltage", "frequency", "angle"]);

const NUMBER = String.raw`[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?`;
const FRACTION = String.raw`[+-]?(?:\d+[ -])?\d+\s*\/\s*\d+`;
const fraction = /^([+-]?)(?:(\d+)[ -])?(\d+)\s*\/\s*(\d+)(?![\d.])\s*(.*)$/;
const decimal = new RegExp(`^(${NUMBER})(?![\\d.,])\\s*(.*)$`);
const wireGauge = /^(?:(\d+)\s*(?:awg|ga\.?|gauge)|awg\s*(\d+))$/i;
/** Two numbers and more, parted by blanks or semicolons, before one unit. */
const several = new RegExp(`^((?:(?:${FRACTION}|${NUMBER})(?:\\s*;\\s*|\\s+|(?=[^\\d\\s.;/-])|$)){2,})(.*)$`);

/**
 * Reads a quantity, or says what is wrong with it. The only grammar of quantities: study.json, CSV cells,
 * and the words and options of the command line all come here.
 *
 * A quantity is a number and a unit: `1.2 mm`, `120ipm`, `-5 degC`, `1e-3 m`; a fraction, mixed or not, which
 * without a unit is in inches: `5/64 in`, `1 1/2 in`, `2-3/8"`; or an American wire gauge: `18 AWG`. Numbers
 * have a decimal point and no marks between thousands. A bare number is refused unless the place says what it
 * means, since a guess would be wrong by a factor of 25 or 60.
 *
 * @source American wire gauge: 0.127 mm x 92^((36 - n)/39), ASTM B258
 */
export function readQuantity(text: string, place: QuantityPlace = {}): Quantity | string {
  const quantity = read(text.trim().replace(/^\u2212/, "-"), place);
  const { like } = place;
  if (typeof quantity === "string" || like === undefined || sameDimension(quantity.unit, like))
    return quantity;
  return kindFault(quantity.unit, like);
}

/**
 * Why a unit cannot stand where another kind is wanted, with units that can.
 *
 * @throws {BeadbenchError} `bad-unit` where either is unknown
 */
export function kindFault(unit: string, like: string): string {
  const { dimension } = findUnit(unit);
  const wanted = findUnit(like).dimension;
  return `is ${article(dimension)}; ${article(wanted)} is wanted here, such as ${unitsLike(like).slice(0, 4).join(", ")}`;
}

const article = (noun: string): string => `${/^[aeiou]/.test(noun) ? "an" : "a"} ${noun}`;

/**
 * Reads a quantity as a shop writes it: `0.045"`, `5/64 in`, `1 1/4 in`, `120 ipm`, `25 cfh`, `300F`, `18 AWG`,
 * by the grammar of {@link readQuantity}. A bare number is read where a shop has one unit only (A, V, Hz, deg)
 * and `like` says that this kind is wanted.
 *
 * @param text - number and unit
 * @param like - a unit of the wanted kind; the result keeps the unit that was written
 * @throws {BeadbenchError} `bad-unit` naming what is wrong and what to write instead
 * @example parseQuantity("120 ipm") // => { value: 120, unit: "in/min" }
 */
export function parseQuantity(text: string, like?: string): Quantity {
  const quantity = readQuantity(text, onlyDefined({ like, usual: true }));
  if (typeof quantity === "string") throw new BeadbenchError("bad-unit", `"${text}" ${quantity}`, { text });
  return quantity;
}

/**
 * Reads a quantity and converts it.
 *
 * @param unit - unit of the result
 * @throws {BeadbenchError} `bad-unit` as {@link parseQuantity} does
 * @example parseIn("300F", "degC") // => 148.889
 */
export function parseIn(text: string, unit: string): number {
  const quantity = parseQuantity(text, unit);
  return convert(quantity.value, quantity.unit, findUnit(unit).symbol);
}

/**
 * Readings of one kind before one unit, such as `2.1 2.2 2.0 mm` or `1/2; 1 1/8 in`: one or more, or what is wrong.
 * What reads as one quantity is one: `1 1/2 in` is a mixed number.
 */
export function readQuantities(
  text: string,
  place: QuantityPlace = {},
): { readonly values: readonly number[]; readonly unit: string } | string {
  const one = readQuantity(text, place);
  if (typeof one !== "string") return { values: [one.value], unit: one.unit };
  const list = several.exec(text.trim());
  if (list === null) return one;
  const [, numbers, unit] = list;
  const items = numbers!.match(new RegExp(`${FRACTION}|${NUMBER}`, "g"))!;
  const quantities: Quantity[] = [];
  for (const item of items) {
    const found = readQuantity(`${item} ${unit!}`, place);
    if (typeof found === "string") return found;
    quantities.push(found);
  }
  return { values: quantities.map(({ value }) => value), unit: quantities[0]!.unit };
}

/**
 * A quantity as text that {@link parseQuantity} reads back exactly.
 *
 * @example formatQuantity({ value: 1.2, unit: "mm" }) // => "1.2 mm"
 */
export function formatQuantity(quantity: Quantity): string {
  return `${quantity.value} ${findUnit(quantity.unit).symbol}`;
}

function read(text: string, place: QuantityPlace): Quantity | string {
  if (text === "") return `is empty: write ${examples(place.like)}`;
  const gauge = wireGauge.exec(text);
  if (gauge !== null) {
    const size = Number(gauge[1] ?? gauge[2]);
    return { value: 0.127 * 92 ** ((36 - size) / 39), unit: "mm" };
  }
  const parts = fraction.exec(text);
  if (parts !== null) {
    const [, sign, whole, top, bottom, rest] = parts;
    if (Number(bottom) === 0) return "divides by 0";
    const size = Number(whole ?? 0) + Number(top) / Number(bottom);
    return withUnitRead({
      value: sign === "-" ? -size : size,
      spelling: rest!,
      like: place.like,
      bare: () => fractionUnit(text, place.bare),
    });
  }
  const number = decimal.exec(text);
  if (number === null) {
    return /^[+-]?\d*,\d/.test(text)
      ? "has a comma: write a point for decimals (1.2 mm) and no commas between thousands"
      : `does not begin with a number: write ${examples(place.like)}`;
  }
  const [, digits, rest] = number;
  if (!Number.isFinite(Number(digits))) return "is too large a number";
  return withUnitRead({
    value: Number(digits),
    spelling: rest!,
    like: place.like,
    bare: () => bareUnit(text, place),
  });
}

/** A value with the unit that follows it, or with that of a bare number. */
function withUnitRead({
  value,
  spelling,
  like,
  bare,
}: {
  readonly value: number;
  readonly spelling: string;
  readonly like: string | undefined;
  readonly bare: () => { readonly unit: string } | string;
}): Quantity | string {
  if (spelling === "") {
    const found = bare();
    return typeof found === "string" ? found : { value, unit: found.unit };
  }
  const unit = unitSpelt(spelling)?.symbol;
  return unit === undefined ? `has an unknown unit "${spelling}": ${unitExamples(like)}` : { value, unit };
}

/** A fraction is in inches, unless the place states another unit: then it must say which of the two. */
function fractionUnit(text: string, bare: string | undefined): { readonly unit: string } | string {
  if (bare === undefined || findUnit(bare).symbol === "in") return { unit: "in" };
  return `is a fraction, which is read in inches, where bare numbers are in ${bare}: write its unit, such as ${text} in`;
}

function bareUnit(text: string, { like, bare, usual }: QuantityPlace): { readonly unit: string } | string {
  if (bare !== undefined) return { unit: bare };
  if (like === undefined) return `has no unit: write ${text} mm, ${text} in/min or the like`;
  const units = unitsLike(like);
  if (singleUnit.has(findUnit(like).dimension)) {
    return usual === true ? { unit: units[0]! } : `has no unit: write ${text} ${units[0]}`;
  }
  const choices = units.slice(0, 5).map((unit) => `${text} ${unit}`);
  return choices.length === 1
    ? `has no unit: write ${choices[0]}`
    : `has no unit, and more than one is common here: write ${choices.slice(0, -1).join(", ")} or ${choices.at(-1)}`;
}

/** What is taken, in words: a few examples of the wanted kind. */
function examples(like: string | undefined): string {
  if (like === undefined || sameDimension(like, "mm"))
    return "a number and its unit, such as 1.2 mm, 5/64 in or 18 AWG";
  const units = unitsLike(like);
  return `a number and its unit, such as ${units
    .slice(0, 3)
    .map((unit) => withUnit("12", unit))
    .join(", ")}`;
}
