import { BeadbenchError } from "../errors/index.js";
import { unitSpelt } from "./spelling.js";
import { symbolsOf, type UnitDefinition } from "./table.js";

/**
 * Looks a unit up by any spelling that is read: its symbol, an alias (ipm, cfh, °C), a word of the shop.
 *
 * @throws {BeadbenchError} `bad-unit` for an unknown spelling
 */
export function findUnit(spelling: string): UnitDefinition {
  const unit = unitSpelt(spelling);
  if (unit === undefined) {
    throw new BeadbenchError("bad-unit", `unknown unit "${spelling}"; ${unitExamples()}`);
  }
  return unit;
}

/**
 * Whether a spelling is that of a unit: a symbol, an alias or a word of the shop.
 *
 * @example isUnit("ipm") // => true
 */
export function isUnit(spelling: string): boolean {
  return unitSpelt(spelling) !== undefined;
}

/**
 * What to write instead of an unknown unit, for a message: units of one kind, or a few of every kind.
 *
 * @param like - a known unit of the kind that is wanted
 * @throws {BeadbenchError} `bad-unit` where `like` is unknown
 */
export function unitExamples(like?: string): string {
  return like === undefined
    ? "write one such as A, V, mm, mm/min, L/min, degC, kJ/mm, 1"
    : `write one of ${unitsLike(like).join(", ")}`;
}

/**
 * Whether two known units measure the same kind of quantity.
 *
 * @throws {BeadbenchError} `bad-unit` for an unknown one
 * @example sameDimension("in/min", "mm/s") // => true
 */
export function sameDimension(a: string, b: string): boolean {
  return findUnit(a).dimension === findUnit(b).dimension;
}

/**
 * Units that measure the same kind of quantity as this one, as symbols.
 *
 * @throws {BeadbenchError} `bad-unit` for an unknown unit
 */
export function unitsLike(symbol: string): readonly string[] {
  return symbolsOf(findUnit(symbol).dimension);
}

/**
 * Converts a value between units of one dimension. Temperatures convert as points on the scale;
 * for a temperature difference or a standard deviation use {@link convertDifference}.
 *
 * @throws {BeadbenchError} `bad-unit` for unknown units or different dimensions
 * @source exact definitions: 1 in = 25.4 mm, 1 lb = 453.59237 g (international yard and pound agreement, 1959)
 * @example convert(120, "in/min", "mm/s") // => 50.8
 */
export function convert(value: number, from: string, to: string): number {
  const [source, target] = pair(from, to);
  if (source === target) return value;
  return (value * source.factor + source.offset - target.offset) / target.factor;
}

/**
 * Converts a difference (a step, a tolerance, a standard deviation): scale only, no offset.
 *
 * @throws {BeadbenchError} `bad-unit` for unknown units or different dimensions
 * @example convertDifference(18, "degF", "degC") // => 10
 */
export function convertDifference(value: number, from: string, to: string): number {
  const [source, target] = pair(from, to);
  return source === target ? value : (value * source.factor) / target.factor;
}

function pair(from: string, to: string): readonly [UnitDefinition, UnitDefinition] {
  const source = findUnit(from);
  const target = findUnit(to);
  if (source.dimension !== target.dimension) {
    throw new BeadbenchError(
      "bad-unit",
      `cannot convert "${from}" (${source.dimension}) to "${to}" (${target.dimension})`,
    );
  }
  return [source, target];
}
