import { onlyDefined, requireNumber } from "../../errors/index.js";

/**
 * How far a handbook value can be trusted:
 * `verified` read in the named text, `recalculated` recalled and then matched by independent arithmetic,
 * `derived` follows from first principles, `from memory` not checked and meant to be edited,
 * `user` set by the user, which wins over all others.
 */
export type Standing = "verified" | "recalculated" | "derived" | "from memory" | "user";

/** A handbook number that carries where it comes from. */
export interface SourcedValue {
  readonly value: number;
  readonly unit: string;
  readonly basis: Standing;
  readonly source: string;
  /** Spread given by the source, when it gives one. */
  readonly range?: readonly [lower: number, upper: number];
}

/** A user's own value for a default: the number alone, or with a word on where it was measured. */
export type Override = number | { readonly value: number; readonly source: string };

/**
 * Makes a {@link SourcedValue}; values from memory say so in their source.
 *
 * @param range - spread given by the source
 * @example sourced(0.7, "1", "from memory", "handbook").source // => "handbook, from memory"
 */
// biome-ignore lint/complexity/useMaxParams: one row of the tables of this layer
export function sourced(
  value: number,
  unit: string,
  basis: Standing,
  source: string,
  range?: readonly [number, number],
): SourcedValue {
  const text = basis === "from memory" && !source.includes("from memory") ? `${source}, from memory` : source;
  return { value, unit, basis, source: text, ...onlyDefined({ range }) };
}

/**
 * Puts the user's value in place of a default; the result says that it is the user's.
 *
 * @throws {BeadbenchError} `bad-argument` when the value is not a finite number
 */
export function overridden(name: string, value: SourcedValue, override: Override): SourcedValue {
  const own = typeof override === "number" ? { value: override, source: "set by the user" } : override;
  requireNumber(`${name}: your value`, own.value);
  return { value: own.value, unit: value.unit, basis: "user", source: own.source };
}

/**
 * Defaults with the user's values put in; everything not named stays as it is.
 *
 * @throws {BeadbenchError} `bad-argument` when a value is not a finite number
 */
export function withOverrides<K extends string>(
  defaults: Readonly<Record<K, SourcedValue>>,
  overrides: Readonly<Partial<Record<K, Override>>>,
): Readonly<Record<K, SourcedValue>> {
  const result: Record<K, SourcedValue> = { ...defaults };
  for (const name of Object.keys(overrides) as K[]) {
    const override = overrides[name];
    if (override !== undefined && defaults[name] !== undefined) {
      result[name] = overridden(name, defaults[name], override);
    }
  }
  return result;
}
