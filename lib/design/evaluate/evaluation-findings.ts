import type { Finding } from "../../errors/index.js";
import { brief, fixed } from "../../numeric/index.js";
import type { PlanEvaluation } from "./evaluation.js";

const WANTED_POWER = 0.8;
const HIGH_CORRELATION = 0.7;

/** What a fabricator should know before running the plan. */
export function evaluationFindings(evaluation: Omit<PlanEvaluation, "findings">): readonly Finding[] {
  const { aliased, terms, coupons, correlations } = evaluation;
  const findings: Finding[] = aliased.map((term) => ({
    code: "aliased",
    severity: "error",
    message: `${term.name} cannot be told apart from ${term.with.join(", ")}`,
    advice: "add coupons that separate them, or leave the term out of the model",
    about: [term.name, ...term.with],
  }));
  const weak = terms.filter(({ power }) => power !== undefined && power < WANTED_POWER);
  if (weak.length > 0) {
    findings.push({
      code: "low-power",
      severity: "warning",
      message: `a change of ${brief(evaluation.change)} with a scatter of ${brief(evaluation.sd)} would be missed more than once in five times for ${weak.map(({ name }) => name).join(", ")}`,
      advice: "run more coupons, widen the factor ranges, or expect to see only larger changes",
      about: weak.map(({ name }) => name),
    });
  }
  const blind = terms.filter(({ degreesOfFreedom }) => degreesOfFreedom < 1);
  if (blind.length > 0) {
    findings.push({
      code: "no-error-estimate",
      severity: "warning",
      message: `no coupons are left to judge the scatter behind ${blind.map(({ name }) => name).join(", ")}`,
      advice:
        evaluation.wholePlots === undefined
          ? "run a few more coupons than the model has terms, best as repeats"
          : "set the hard-to-change factors anew more often",
      about: blind.map(({ name }) => name),
    });
  }
  const tied = correlations.names.flatMap((one, i) =>
    correlations.names.slice(i + 1).flatMap((two, k) => {
      const r = correlations.matrix[i]![i + 1 + k]!;
      return Math.abs(r) > HIGH_CORRELATION ? [`${one} and ${two} (${fixed(r, 2)})`] : [];
    }),
  );
  if (tied.length > 0) {
    findings.push({
      code: "correlated-effects",
      severity: "warning",
      message: `estimates that hang together strongly: ${tied.slice(0, 5).join(", ")}`,
      advice: "their separate sizes will be uncertain even where their sum is not",
    });
  }
  for (const coupon of coupons.filter(({ lostTerms }) => lostTerms.length > 0)) {
    findings.push({
      code: "coupon-indispensable",
      severity: "warning",
      message: `if coupon ${coupon.name} fails, ${coupon.lostTerms.join(", ")} cannot be estimated`,
      advice: "repeat it, or run it early so that it can be run again",
      about: coupon.lostTerms,
    });
  }
  return findings;
}
