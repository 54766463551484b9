import { onlyDefined, requireThat } from "../../errors/index.js";
import type { PlanEvaluation } from "./evaluation.js";

/** One measure of two plans; undefined where a plan has no such figure. */
export interface ComparedMeasure {
  readonly measure: string;
  readonly first: number | undefined;
  readonly second: number | undefined;
  /** Whether more of it is better; undefined when it is just a fact. */
  readonly better?: "more" | "less";
}

/**
 * Two evaluations side by side: the same measures, one row each. Only comparable when both were made for
 * the same change, scatter and level.
 *
 * @throws {BeadbenchError} `bad-argument` when change, scatter or level differ
 */
export function comparePlans(first: PlanEvaluation, second: PlanEvaluation): readonly ComparedMeasure[] {
  for (const what of ["change", "sd", "level"] as const) {
    requireThat(
      first[what] === second[what],
      `plans can be compared only at the same ${what}, got ${first[what]} and ${second[what]}`,
    );
  }
  const row = (
    measure: string,
    of: (evaluation: PlanEvaluation) => number | undefined,
    better?: "more" | "less",
  ): ComparedMeasure => ({
    measure,
    first: of(first),
    second: of(second),
    ...onlyDefined({ better }),
  });
  const terms = [...new Set([...first.terms, ...second.terms].map(({ name }) => name))];
  const term = (evaluation: PlanEvaluation, name: string) => evaluation.terms.find((t) => t.name === name);
  return [
    row("coupons", (e) => e.runs),
    row("coupons already run", (e) => e.existing),
    row("model terms estimated", (e) => e.rank, "more"),
    row("degrees of freedom for scatter", (e) => e.residualDegreesOfFreedom, "more"),
    row("degrees of freedom from repeats", (e) => e.pureErrorDegreesOfFreedom, "more"),
    row("prediction error, mean", (e) => e.prediction.mean, "less"),
    row("prediction error, largest", (e) => e.prediction.max, "less"),
    row("D-efficiency", (e) => e.efficiency.D, "more"),
    row("A-efficiency", (e) => e.efficiency.A, "more"),
    row("G-efficiency", (e) => e.efficiency.G, "more"),
    row("largest leverage", (e) => Math.max(...e.coupons.map((c) => c.leverage)), "less"),
    row("indispensable coupons", (e) => e.coupons.filter((c) => c.lostTerms.length > 0).length, "less"),
    ...terms.map((name) => row(`power, ${name}`, (e) => term(e, name)?.power, "more")),
    ...terms.map((name) => row(`standard error, ${name}`, (e) => term(e, name)?.standardError, "less")),
  ];
}
