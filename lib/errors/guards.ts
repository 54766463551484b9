import { BeadbenchError } from "./error.js";

/** What a number must lie between; `above`/`below` exclude the bound, `min`/`max` include it. */
export interface NumberBounds {
  readonly above?: number;
  readonly min?: number;
  readonly below?: number;
  readonly max?: number;
  /** Unit shown in the message. */
  readonly unit?: string;
}

function describe(bounds: NumberBounds): string {
  const unit = bounds.unit === undefined ? "" : ` ${bounds.unit}`;
  const parts = [
    bounds.above === undefined ? "" : `above ${bounds.above}${unit}`,
    bounds.min === undefined ? "" : `at least ${bounds.min}${unit}`,
    bounds.below === undefined ? "" : `below ${bounds.below}${unit}`,
    bounds.max === undefined ? "" : `at most ${bounds.max}${unit}`,
  ].filter((part) => part !== "");
  return parts.length === 0 ? "a finite number" : parts.join(" and ");
}

/**
 * Returns `value` when it is a finite number within the bounds.
 *
 * The message holds the number as it was handed over: this layer lies below the printers of `numeric/format`, so a
 * caller who hands over a computed or converted number rounds it first.
 *
 * @throws {BeadbenchError} `bad-argument`: `<what>: must be <rule>, got <value>`
 */
export function requireNumber(what: string, value: number, bounds: NumberBounds = {}): number {
  const ok =
    Number.isFinite(value) &&
    (bounds.above === undefined || value > bounds.above) &&
    (bounds.min === undefined || value >= bounds.min) &&
    (bounds.below === undefined || value < bounds.below) &&
    (bounds.max === undefined || value <= bounds.max);
  if (!ok) {
    const unit = bounds.unit === undefined ? "" : ` ${bounds.unit}`;
    throw new BeadbenchError("bad-argument", `${what} must be ${describe(bounds)}, got ${value}${unit}`);
  }
  return value;
}

/**
 * Returns `value` when it is a whole number within the bounds: what is counted (coupons, layers, draws) has no halves.
 *
 * @throws {BeadbenchError} `bad-argument`: `<what> must be a whole number, <rule>, got <value>`
 */
export function requireCount(
  what: string,
  value: number,
  bounds: Pick<NumberBounds, "min" | "max"> = { min: 0 },
): number {
  if (Number.isSafeInteger(value)) return requireNumber(what, value, bounds);
  throw new BeadbenchError(
    "bad-argument",
    `${what} must be a whole number, ${describe(bounds)}, got ${value}`,
  );
}

/**
 * Throws when a rule is broken.
 *
 * @throws {BeadbenchError} with the given code and message
 */
export function requireThat(condition: boolean, message: string): asserts condition {
  if (!condition) throw new BeadbenchError("bad-argument", message);
}
