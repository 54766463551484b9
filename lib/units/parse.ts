import { BeadbenchError } from "../errors/index.js";
import { convert, findUnit, isUnit, unitsLike } from "./convert.js";
import { unitTable } from "./table.js";

/** A number with its unit symbol. */
export interface Quantity {
  readonly value: number;
  readonly unit: string;
}

/** Spellings of the shop floor beyond the table's symbols and aliases, in small letters. */
const shopSpellings: Readonly<Record<string, string>> = {
  f: "degF",
  c: "degC",
  "deg f": "degF",
  "deg c": "degC",
  "''": "in",
  "in.": "in",
  inches: "in",
  "'": "ft",
  feet: "ft",
  mpm: "m/min",
  "in./min": "in/min",
  "in/sec": "in/s",
  ips: "in/s",
  fpm: "ft/min",
  mins: "min",
  minutes: "min",
  secs: "s",
  seconds: "s",
  hrs: "h",
  hours: "h",
  "lb/hr": "lb/h",
  "lbs/hr": "lb/h",
  "lbs/h": "lb/h",
  "kg/hr": "kg/h",
  "cu ft": "ft3",
  scfh: "ft3/h",
  slpm: "L/min",
  degrees: "deg",
};

/** Table spellings in small letters, for shouted units (IPM, CFH) of two letters and more. */
const anyCase: ReadonlyMap<string, string> = new Map(
  [...unitTable].filter(([key]) => key.length > 1).map(([key, unit]) => [key.toLowerCase(), unit.symbol]),
);

/** Dimensions in which a shop uses one unit only, so that a bare number is clear. */
const singleUnit: ReadonlySet<string> = new Set(["current", "voltage", "frequency", "angle"]);

const NUMBER = String.raw`[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?`;
const fraction = /^([+-]?)(?:(\d+)[ -])?(\d+)\s*\/\s*(\d+)(?![\d.])\s*(.*)$/;
const decimal = new RegExp(`^(${NUMBER})(?![\\d.,])\\s*(.*)$`);
const wireGauge = /^(?:(\d+)\s*(?:awg|ga\.?|gauge)|awg\s*(\d+))$/i;

/**
 * Reads a quantity as a shop writes it: `0.045"`, `5/64 in`, `1 1/4 in`, `120 ipm`, `25 cfh`, `300F`, `18 AWG`.
 *
 * A fraction without a unit is in inches. A bare number is refused wherever two units are common, since
 * a guess would be wrong by a factor of 25 or 60; give `like` to say which kind of quantity is wanted.
 *
 * @param text - number and unit
 * @param like - a unit of the wanted kind; the result keeps the unit that was written
 * @throws {BeadbenchError} `bad-unit` naming what is wrong and what to write instead
 * @source American wire gauge: 0.127 mm x 92^((36 - n)/39), ASTM B258
 * @example parseQuantity("120 ipm") // => { value: 120, unit: "in/min" }
 */
export function parseQuantity(text: string, like?: string): Quantity {
  const quantity = read(text.trim(), like);
  if (like !== undefined && findUnit(quantity.unit).dimension !== findUnit(like).dimension) {
    throw fault(
      text,
      `is a ${findUnit(quantity.unit).dimension}; a ${findUnit(like).dimension} is wanted here, such as ${examples(like)}`,
    );
  }
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
 * A quantity as text that {@link parseQuantity} reads back exactly.
 *
 * @example formatQuantity({ value: 1.2, unit: "mm" }) // => "1.2 mm"
 */
export function formatQuantity(quantity: Quantity): string {
  return `${quantity.value} ${findUnit(quantity.unit).symbol}`;
}

function read(text: string, like: string | undefined): Quantity {
  if (text === "") throw fault(text, "is empty: write a number and its unit, such as 1.2 mm");
  const gauge = wireGauge.exec(text);
  if (gauge !== null) {
    const size = Number(gauge[1] ?? gauge[2]);
    return { value: 0.127 * 92 ** ((36 - size) / 39), unit: "mm" };
  }
  const parts = fraction.exec(text);
  if (parts !== null) {
    const [, sign, whole, top, bottom, rest] = parts;
    if (Number(bottom) === 0) throw fault(text, "divides by 0");
    const size = Number(whole ?? 0) + Number(top) / Number(bottom);
    return { value: sign === "-" ? -size : size, unit: rest === "" ? "in" : readUnit(text, rest!) };
  }
  const number = decimal.exec(text);
  if (number === null) {
    throw fault(
      text,
      /^[+-]?\d*,\d/.test(text)
        ? "has a comma: write a point for decimals (1.2 mm) and no commas between thousands"
        : "does not begin with a number: write a number and its unit, such as 1.2 mm or 5/64 in",
    );
  }
  const [, digits, rest] = number;
  if (!Number.isFinite(Number(digits))) throw fault(text, "is too large a number");
  return { value: Number(digits), unit: rest === "" ? bareUnit(text, like) : readUnit(text, rest!) };
}

function readUnit(text: string, spelling: string): string {
  const known = spelling.trim();
  if (isUnit(known)) return findUnit(known).symbol;
  const small = known.toLowerCase();
  const found = shopSpellings[small] ?? anyCase.get(small);
  if (found === undefined) {
    throw fault(
      text,
      `has an unknown unit "${known}": write one such as mm, in, mm/min, in/min, L/min, ft3/h, degF, A, V`,
    );
  }
  return found;
}

function bareUnit(text: string, like: string | undefined): string {
  if (like === undefined) throw fault(text, `has no unit: write ${text} mm, ${text} in/min or the like`);
  const { dimension } = findUnit(like);
  const units = unitsLike(like);
  if (singleUnit.has(dimension)) return units[0]!;
  const choices = units.slice(0, 5).map((unit) => `${text} ${unit}`);
  throw fault(
    text,
    `has no unit, and more than one is common here: write ${choices.slice(0, -1).join(", ")} or ${choices.at(-1)}`,
  );
}

function examples(like: string): string {
  return unitsLike(like).slice(0, 4).join(", ");
}

function fault(text: string, what: string): BeadbenchError {
  return new BeadbenchError("bad-unit", `"${text}" ${what}`, { text });
}
