import { ownValue } from "../../errors/index.js";
import { mean, standardDeviation } from "../../numeric/figures/index.js";
import type { ResponseKind, Spec } from "../definition/index.js";

/** Readings taken at several stations along one bead. */
export interface Scatter {
  /** In the response's unit, in the order of the stations. */
  readonly readings: readonly number[];
  /** Standard deviation of the readings (n - 1). */
  readonly sd: number;
}

/** A measured value, in the response's unit; the mean where several stations were read. */
export interface MeasuredResult {
  readonly kind: "measured";
  readonly value: number;
  /** Present where several stations were read. */
  readonly scatter?: Scatter;
}

/** A verdict of yes or no; `passed` is the good side, whatever word was written (no for spatter). */
export interface PassFailResult {
  readonly kind: "passFail";
  readonly passed: boolean;
}

/** A grade given by eye, more is better. */
export interface GradeResult {
  readonly kind: "grade";
  readonly grade: number;
}

/** What one response of one coupon came out as. */
export type Result = MeasuredResult | PassFailResult | GradeResult;

/** One function per kind of result. */
export type KindCases<T> = {
  readonly [K in ResponseKind]: (result: Extract<Result, { readonly kind: K }>) => T;
};

/**
 * Asks a result by its kind: the function of `cases` for that kind is called with it. A kind without its case does not
 * compile, so that a new kind is found wherever it is forgotten.
 *
 * @example matchKind({ kind: "passFail", passed: true }, { measured: () => 1, passFail: () => 2, grade: () => 3 }) // => 2
 */
export function matchKind<T>(result: Result, cases: KindCases<T>): T {
  switch (result.kind) {
    case "measured":
      return cases.measured(result);
    case "passFail":
      return cases.passFail(result);
    case "grade":
      return cases.grade(result);
    default:
      return unknownKind(result);
  }
}

function unknownKind(kind: never): never {
  throw new TypeError(`unknown kind of result: ${JSON.stringify(kind)}`);
}

/** The result that a value logged for a response of some kind stands for, in the response's unit. */
export function makeResult(kind: ResponseKind, value: number | boolean): Result {
  switch (kind) {
    case "measured":
      return { kind, value: Number(value) };
    case "passFail":
      return { kind, passed: Boolean(value) };
    case "grade":
      return { kind, grade: Number(value) };
    default:
      return unknownKind(kind);
  }
}

/** The result that readings at stations, in the response's unit, stand for. */
export function resultOfReadings(kind: ResponseKind, readings: readonly number[]): Result {
  const result = makeResult(kind, mean(readings));
  const measured = measuredPart(result);
  if (measured === undefined) return result;
  return { ...measured, scatter: { readings, sd: readings.length < 2 ? 0 : standardDeviation(readings) } };
}

/** Whatever carries results by the names of their responses, such as a coupon. */
export interface WithResults {
  readonly results: Readonly<Record<string, Result>>;
}

/**
 * The result of one response, in its unit; undefined when the coupon has none. A response may have any name.
 *
 * @example resultOf({ results: {} }, "constructor") // => undefined
 */
export function resultOf({ results }: WithResults, name: string): Result | undefined {
  return ownValue(results, name);
}

/** The result as it stands in one cell of a table. */
export function cellOf(result: Result): number | boolean {
  return matchKind<number | boolean>(result, {
    measured: ({ value }) => value,
    passFail: ({ passed }) => passed,
    grade: ({ grade }) => grade,
  });
}

/** A result as a measured one; undefined for a verdict or a grade. */
function measuredPart(result: Result | undefined): MeasuredResult | undefined {
  const none = (): undefined => undefined;
  if (result === undefined) return undefined;
  return matchKind<MeasuredResult | undefined>(result, {
    measured: (measured) => measured,
    passFail: none,
    grade: none,
  });
}

/** The readings at stations behind a result, where there are any. */
export function scatterOf(coupon: WithResults, name: string): Scatter | undefined {
  return measuredPart(resultOf(coupon, name))?.scatter;
}

/**
 * The measured value of one response, in its unit, the mean where there are readings at stations; undefined when it was
 * not measured, and for a verdict or a grade.
 */
export function measuredOf(coupon: WithResults, name: string): number | undefined {
  return measuredPart(resultOf(coupon, name))?.value;
}

/** The measured results of a coupon with the names of their responses, in the order they were logged. */
export function measuredResults({ results }: WithResults): readonly (readonly [string, MeasuredResult])[] {
  return Object.entries(results).flatMap(([name, result]) => {
    const measured = measuredPart(result);
    return measured === undefined ? [] : [[name, measured] as const];
  });
}

/** Whether a result is good: passed, or within its specification; undefined when nothing says what is good. */
export function isGood(result: Result, spec: Spec | undefined): boolean | undefined {
  const within = (value: number): boolean | undefined =>
    spec?.lower === undefined && spec?.upper === undefined
      ? undefined
      : value >= (spec.lower ?? Number.NEGATIVE_INFINITY) &&
        value <= (spec.upper ?? Number.POSITIVE_INFINITY);
  return matchKind<boolean | undefined>(result, {
    measured: ({ value }) => within(value),
    passFail: ({ passed }) => passed,
    grade: ({ grade }) => within(grade),
  });
}
