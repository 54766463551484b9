import { BeadbenchError, ownValue } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import type { Model } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import type { ResponseData } from "./response-data.js";

/** One term of a power law: a numeric factor, or a level of a category against the first level. */
export interface PowerLawTerm {
  readonly factor: string;
  readonly unit: string;
  /** Geometric mean of the factor over the coupons; the law is written relative to it. */
  readonly reference: number;
  /** The category's level this term switches on; absent for a number. */
  readonly level?: string;
}

/** Coupons as rows of a regression in logarithms. */
export interface PowerLawData extends ResponseData {
  readonly terms: readonly PowerLawTerm[];
  /** Factors that did not vary: nothing can be said about them. */
  readonly held: readonly string[];
  /** One row per coupon: ln(setting / reference) per term, or 0/1 for a level. */
  readonly x: readonly (readonly number[])[];
}

/**
 * Terms of a power law over the factors that vary among these settings.
 *
 * @throws {BeadbenchError} `not-enough-data` for a factor that was 0 or below on some coupon
 */
export function powerLawTerms(
  definition: StudyDefinition,
  settings: readonly Settings[],
): { readonly terms: readonly PowerLawTerm[]; readonly held: readonly string[] } {
  const terms: PowerLawTerm[] = [];
  const held: string[] = [];
  for (const { name, unit, kind } of definition.factors) {
    const values = settings.map((setting) => ownValue(setting, name));
    const distinct = new Set(values);
    if (distinct.size < 2) held.push(name);
    else if (kind === "category") {
      const [, ...others] = [...distinct].map(String).sort();
      terms.push(...others.map((level) => ({ factor: name, unit, reference: 1, level })));
    } else {
      const reference = Math.exp(mean(values.map((value) => Math.log(Number(value)))));
      if (!(reference > 0)) {
        throw new BeadbenchError(
          "not-enough-data",
          `${name} has settings of 0 or below, which have no power and so no power law`,
        );
      }
      terms.push({ factor: name, unit, reference });
    }
  }
  return { terms, held };
}

/** A setting as a row of the regression. */
export function powerLawRow(terms: readonly PowerLawTerm[], settings: Settings): readonly number[] {
  return terms.map(({ factor, reference, level }) => {
    const value = ownValue(settings, factor);
    if (level !== undefined) return String(value) === level ? 1 : 0;
    return Math.log(Number(value) / reference);
  });
}

/**
 * The data as rows of a power law.
 *
 * @throws {BeadbenchError} `not-enough-data` for a response or a factor that is 0 or below, which has no power
 */
export function withPowerLawRows(definition: StudyDefinition, data: ResponseData): PowerLawData {
  if (data.scale === "linear") {
    throw new BeadbenchError("not-enough-data", `${data.response}: values of 0 or below follow no power law`);
  }
  const { terms, held } = powerLawTerms(definition, data.settings);
  return { ...data, terms, held, x: data.settings.map((setting) => powerLawRow(terms, setting)) };
}

/** Name of a term as reports show it. */
export function termName(term: Pick<PowerLawTerm, "factor" | "level">): string {
  return term.level === undefined ? term.factor : `${term.factor} = ${term.level}`;
}

/**
 * The power law
 *
 *     y = y0 (x1 / x1ref)^b1 (x2 / x2ref)^b2 ...
 *
 * as a regression model; parameters are ln y0, b1, b2 ... and rows are ln(x / xref).
 *
 * @param logarithm - predict ln y instead of y, for scatter in proportion to the value
 */
export function powerLawModel(terms: readonly PowerLawTerm[], logarithm: boolean): Model {
  const log = (theta: readonly number[], x: readonly number[]): number => {
    let sum = theta[0]!;
    for (let j = 0; j < x.length; j++) sum += theta[j + 1]! * x[j]!;
    return sum;
  };
  const parameters = ["ln y0", ...terms.map(termName)];
  return logarithm
    ? { parameters, linearIn: parameters, predict: log, gradient: (_, x) => [1, ...x] }
    : {
        parameters,
        linearIn: [],
        predict: (theta, x) => Math.exp(log(theta, x)),
        gradient: (theta, x) => {
          const value = Math.exp(log(theta, x));
          return [value, ...x.map((part) => value * part)];
        },
      };
}
