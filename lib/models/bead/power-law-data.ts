import type { Finding } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import type { Model } from "../../regression/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import type { Settings } from "../physical/index.js";

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
export interface PowerLawData {
  readonly response: string;
  readonly unit: string;
  readonly terms: readonly PowerLawTerm[];
  /** Factors that did not vary: nothing can be said about them. */
  readonly held: readonly string[];
  readonly coupons: readonly string[];
  /** One row per coupon: ln(setting / reference) per term, or 0/1 for a level. */
  readonly x: readonly (readonly number[])[];
  /** The response, in its unit, per coupon. */
  readonly y: readonly number[];
  readonly findings: readonly Finding[];
}

/** Coupons that can enter a fit: logged, not voided, not left out by the user. */
export function usableCoupons(
  coupons: readonly Coupon[],
  without: readonly string[] = [],
): readonly Coupon[] {
  return coupons.filter(({ id, state }) => state === "logged" && !without.includes(id));
}

/** Terms of a power law over the factors that vary among these coupons. */
export function powerLawTerms(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
): { readonly terms: readonly PowerLawTerm[]; readonly held: readonly string[] } {
  const terms: PowerLawTerm[] = [];
  const held: string[] = [];
  for (const { name, unit, kind } of definition.factors) {
    const values = coupons.map(({ settings }) => settings[name]);
    const distinct = new Set(values);
    if (distinct.size < 2) held.push(name);
    else if (kind === "category") {
      const [, ...others] = [...distinct].map(String).sort();
      terms.push(...others.map((level) => ({ factor: name, unit, reference: 1, level })));
    } else {
      const logs = values.map((value) => Math.log(Number(value)));
      terms.push({ factor: name, unit, reference: Math.exp(mean(logs)) });
    }
  }
  return { terms, held };
}

/** A setting as a row of the regression. */
export function powerLawRow(terms: readonly PowerLawTerm[], settings: Settings): readonly number[] {
  return terms.map(({ factor, reference, level }) => {
    const value = settings[factor];
    if (level !== undefined) return String(value) === level ? 1 : 0;
    return Math.log(Number(value) / reference);
  });
}

/** Gathers the coupons with this response; zero and negative values cannot enter a power law and are named. */
export function powerLawData(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  response: string,
  options: { readonly without?: readonly string[] } = {},
): PowerLawData {
  const measured = usableCoupons(coupons, options.without).filter(
    ({ measured: m }) => m[response] !== undefined,
  );
  const positive = measured.filter(({ measured: m }) => m[response]! > 0);
  const dropped = measured.filter((coupon) => !positive.includes(coupon)).map(({ id }) => id);
  const { terms, held } = powerLawTerms(definition, positive);
  return {
    response,
    unit: definition.responses.find(({ name }) => name === response)?.unit ?? "1",
    terms,
    held,
    coupons: positive.map(({ id }) => id),
    x: positive.map(({ settings }) => powerLawRow(terms, settings)),
    y: positive.map(({ measured: m }) => m[response]!),
    findings:
      dropped.length === 0
        ? []
        : [
            {
              code: "not-positive",
              severity: "warning",
              message: `${response}: ${dropped.length} coupons with a value of 0 or below cannot enter a power law (${dropped.join(", ")})`,
              advice: "if the bead was not measured leave the cell empty; zero is a measurement",
              about: dropped,
            },
          ],
  };
}

/** Name of a term as reports show it. */
export function termName(term: PowerLawTerm): string {
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
    ? { parameters, predict: log, gradient: (_, x) => [1, ...x] }
    : {
        parameters,
        predict: (theta, x) => Math.exp(log(theta, x)),
        gradient: (theta, x) => {
          const value = Math.exp(log(theta, x));
          return [value, ...x.map((part) => value * part)];
        },
      };
}
