/**
 * Checks of parsed JSON: small functions that a shape is put together from. Each tells what it wanted in the words of
 * someone who edits the file by hand.
 */
import { ownValue } from "../../errors/index.js";
import { suggestion } from "./nearest-name.js";

/** Keys and positions that lead to a value. */
export type Path = readonly (string | number)[];

/** One thing that is not as it should be. */
export interface ShapeFault {
  readonly path: Path;
  /** The rule that is broken, as the end of a sentence: `must be a number`. */
  readonly message: string;
  /** What stands there, undefined where nothing does; absent where the rule speaks for itself. */
  readonly found?: unknown;
}

/**
 * Reads a value: gives it back as it is wanted (trimmed, with defaults), or adds at least one fault, and what it
 * gives back then must not be used. Paths of faults begin at the value.
 */
export type Shape<T> = (value: unknown, faults: ShapeFault[]) => T;

/** What a shape gives back. */
export type Shaped<S> = S extends Shape<infer T> ? T : never;

/** A value held against a shape: the value as it is wanted, or every fault. */
export function readShape<T>(
  shape: Shape<T>,
  value: unknown,
): { readonly value: T } | { readonly faults: readonly ShapeFault[] } {
  const faults: ShapeFault[] = [];
  const read = shape(value, faults);
  return faults.length === 0 ? { value: read } : { faults };
}

const HERE: Path = [];

/** Puts the faults from one on under the key that their value lies under: a path is put together only where there is a fault. */
function locate(faults: ShapeFault[], from: number, key: string | number): void {
  for (let i = from; i < faults.length; i++) faults[i] = { ...faults[i]!, path: [key, ...faults[i]!.path] };
}

/** A shape from a test and what it wants, such as `a number`. */
function kind<T>(wanted: string, test: (value: unknown) => value is T): Shape<T> {
  return (value, faults) => {
    if (!test(value)) faults.push({ path: HERE, message: `must be ${wanted}`, found: value });
    return value as T;
  };
}

export const text = kind("a text", (value): value is string => typeof value === "string");
export const number = kind("a number", (value): value is number => Number.isFinite(value));
export const truth = kind("true or false", (value): value is boolean => typeof value === "boolean");
export const nothing = kind("null", (value): value is null => value === null);

/** One of these texts. */
export function oneOf<const T extends string>(...values: readonly T[]): Shape<T> {
  const wanted = values.map((value) => JSON.stringify(value)).join(" or ");
  return kind(wanted, (value): value is T => values.some((one) => one === value));
}

/** A shape that must also pass a test; `message` is the rule. */
export function where<T>(shape: Shape<T>, test: (value: T) => boolean, message: string): Shape<T> {
  return (value, faults) => {
    const before = faults.length;
    const read = shape(value, faults);
    if (faults.length === before && !test(read)) faults.push({ path: HERE, message, found: value });
    return read;
  };
}

/** A shape whose value is taken in another form; `change` is called on sound values only and may say what is wrong. */
export function changed<T, U>(
  shape: Shape<T>,
  change: (value: T, refuse: (message: string) => U) => U,
): Shape<U> {
  return (value, faults) => {
    const before = faults.length;
    const read = shape(value, faults);
    const refuse = (message: string): U => {
      faults.push({ path: HERE, message, found: value });
      return undefined as U;
    };
    return faults.length === before ? change(read, refuse) : (undefined as U);
  };
}

/** The first of several shapes that the value has; `wanted` is their common name. */
export function anyOf<const S extends readonly Shape<unknown>[]>(
  wanted: string,
  ...shapes: S
): Shape<Shaped<S[number]>> {
  return (value, faults) => {
    const before = faults.length;
    for (const shape of shapes) {
      const read = shape(value, faults);
      if (faults.length === before) return read as Shaped<S[number]>;
      faults.length = before;
    }
    faults.push({ path: HERE, message: `must be ${wanted}`, found: value });
    return undefined as Shaped<S[number]>;
  };
}

/** A value that may be left out. */
export function optional<T>(shape: Shape<T>): Shape<T | undefined> {
  return (value, faults) => (value === undefined ? undefined : shape(value, faults));
}

/** A value that may be left out, for this one then. */
export function otherwise<T>(shape: Shape<T>, fallback: T): Shape<T> {
  return (value, faults) => (value === undefined ? fallback : shape(value, faults));
}

/** A list of values alike. */
export function list<T>(item: Shape<T>): Shape<readonly T[]> {
  return (value, faults) => {
    // `map` would step over holes.
    if (Array.isArray(value))
      return Array.from(value, (one, i) => {
        const from = faults.length;
        const read = item(one, faults);
        locate(faults, from, i);
        return read;
      });
    faults.push({ path: HERE, message: "must be a list [ ... ]", found: value });
    return [];
  };
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  value !== null && typeof value === "object" && !Array.isArray(value);

/** Values alike under names of the writer's choice. */
export function record<T>(name: Shape<string>, item: Shape<T>): Shape<Readonly<Record<string, T>>> {
  return (value, faults) => {
    if (!isObject(value)) {
      faults.push({ path: HERE, message: "must be an object { name: value }", found: value });
      return {};
    }
    return Object.fromEntries(
      Object.entries(value).map(([key, one]) => {
        const from = faults.length;
        const read = [name(key, faults), item(one, faults)];
        locate(faults, from, key);
        return read;
      }),
    );
  };
}

type Fields = Readonly<Record<string, Shape<unknown>>>;
type MayLack<F extends Fields> = { [K in keyof F]: undefined extends Shaped<F[K]> ? K : never }[keyof F];

/** What an object of these fields reads as: a field that may be left out is absent then. */
export type ObjectOf<F extends Fields> = {
  readonly [K in Exclude<keyof F, MayLack<F>>]: Shaped<F[K]>;
} & {
  readonly [K in MayLack<F>]?: Exclude<Shaped<F[K]>, undefined>;
};

/**
 * An object of these fields and no others.
 *
 * @param options.wanted - what to ask for where there is no object
 * @param options.known - fields to name to someone who wrote an unknown one, where they are more than these
 */
export function object<F extends Fields>(
  fields: F,
  { wanted = "an object { ... }", known = Object.keys(fields) }: ObjectOptions = {},
): Shape<ObjectOf<F>> {
  const shapes = Object.entries(fields);
  return (value, faults) => {
    if (!isObject(value)) {
      faults.push({ path: HERE, message: `must be ${wanted}`, found: value });
      return {} as ObjectOf<F>;
    }
    const read: Record<string, unknown> = {};
    for (const [field, shape] of shapes) {
      const from = faults.length;
      const found = shape(ownValue(value, field), faults);
      locate(faults, from, field);
      if (found !== undefined) read[field] = found;
    }
    for (const key of Object.keys(value)) {
      if (Object.hasOwn(fields, key)) continue;
      const hint = suggestion(key, known) || `; known here: ${known.join(", ")}`;
      faults.push({ path: [key], message: `unknown field${hint}` });
    }
    return read as ObjectOf<F>;
  };
}

interface ObjectOptions {
  readonly wanted?: string;
  readonly known?: readonly string[];
}
