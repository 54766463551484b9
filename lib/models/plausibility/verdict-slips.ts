import { fitLogistic, type LogisticFit, logisticChance, logitAt } from "../../regression/pass-fail/index.js";
import { matchKind, resultOf, type StudyData } from "../../study/record/index.js";
import { smoothInputs } from "./smooth-inputs.js";

/** A verdict that the other coupons contradict. */
export interface VerdictSlip {
  readonly coupon: string;
  readonly response: string;
  readonly passed: boolean;
  /** Chance of this verdict by the other coupons. */
  readonly foreseen: number;
  /** Chance that it is a slip. */
  readonly chance: number;
}

/** Share of verdicts that are ticked wrongly, before any evidence. Common practice, no source. */
const SLIP_RATE = 0.02;
const NAMED = 0.45;
/** Chance of any verdict for reasons that no setting shows: scale on the plate, a draught. Common practice, no source. */
const OTHER_REASONS = 0.02;
const FEWEST = 10;
/** Beliefs about the logit per range of a setting, and per square of it: a check may be sharp. */
const SLOPE_SD = 4;
const BEND_SD = 4;

/** Chance of a verdict, left out to first order, beyond which leaving it out in earnest cannot make it a slip. */
const SURELY_FORESEEN = 0.25;

/**
 * Chance of a verdict by the other coupons, to first order from the fit to all: the log odds move by
 * `x'Cx (y - p) / (1 - h)` with h = p (1 - p) x'Cx.
 *
 * @source one-step deletion: D. Pregibon, Logistic regression diagnostics, Annals of Statistics 9 (1981) 705
 */
function withoutItself(fit: LogisticFit, x: readonly number[], passed: boolean): number {
  const { logit, standardError } = logitAt(fit, x);
  const chance = logisticChance(logit);
  const variance = standardError ** 2;
  const leverage = Math.min(0.99, chance * (1 - chance) * variance);
  const moved = logit - (variance * (Number(passed) - chance)) / (1 - leverage);
  return logisticChance(passed ? moved : -moved);
}

/** Verdicts against the chance the other coupons give them, by a logit of the settings and their squares. */
export function verdictSlips({ definition, coupons }: StudyData): readonly VerdictSlip[] {
  const inputs = smoothInputs({ definition, coupons });
  return definition.responses
    .filter(({ kind }) => kind === "passFail")
    .flatMap(({ name }) => {
      const rows = coupons.flatMap((coupon, i) => {
        const result = resultOf(coupon, name);
        const x = inputs[i];
        if (result === undefined || x === undefined) return [];
        const passed = matchKind<boolean | undefined>(result, {
          passFail: (verdict) => verdict.passed,
          measured: () => undefined,
          grade: () => undefined,
        });
        return passed === undefined ? [] : [{ coupon, passed, x: [1, ...x, ...x.map((one) => one * one)] }];
      });
      if (rows.length < FEWEST) return [];
      const k = (rows[0]!.x.length - 1) / 2;
      const names = rows[0]!.x.map((_, j) => (j === 0 ? "intercept" : j <= k ? `x${j}` : `x${j - k}^2`));
      const sd = rows[0]!.x.map((_, j) => (j === 0 ? 5 : j <= k ? SLOPE_SD : BEND_SD));
      const fitOf = (some: readonly (typeof rows)[number][]): LogisticFit =>
        fitLogistic(
          { x: some.map((row) => row.x), passes: some.map((row) => Number(row.passed)) },
          { names, penalty: "none", prior: { mean: sd.map(() => 0), sd }, intervals: "none" },
        );
      const all = fitOf(rows);
      return rows.flatMap(({ coupon, passed, x }): VerdictSlip[] => {
        if (all.status === "converged" && withoutItself(all, x, passed) > SURELY_FORESEEN) return [];
        const fit = fitOf(rows.filter((row) => row.coupon !== coupon));
        if (fit.status !== "converged") return [];
        const pass = logisticChance(logitAt(fit, x).logit);
        const foreseen = Math.max(OTHER_REASONS, passed ? pass : 1 - pass);
        const chance =
          (SLIP_RATE * (1 - foreseen)) / (SLIP_RATE * (1 - foreseen) + (1 - SLIP_RATE) * foreseen);
        return chance < NAMED ? [] : [{ coupon: coupon.id, response: name, passed, foreseen, chance }];
      });
    });
}
