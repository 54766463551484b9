import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import type { CoefficientPrior } from "../linear/index.js";
import { checkPrior, checkRow } from "./likelihood-input.js";

/** Passed or failed, row by row. */
export interface PassFailObservations {
  /** One row per setting, one value per name, a 1 where an intercept is wanted. */
  readonly x: readonly (readonly number[])[];
  /** 1 for a pass, 0 for a failure; or a count of passes, with `trials`. */
  readonly passes: readonly number[];
  /** Trials per row. Default: 1. */
  readonly trials?: readonly number[];
}

export interface LogisticOptions {
  readonly names: readonly string[];
  /** `firth` (default) keeps estimates finite and nearly unbiased in small or separated data. */
  readonly penalty?: "firth" | "none";
  /** Weak normal beliefs about the coefficients, on top of the penalty. */
  readonly prior?: CoefficientPrior;
  /**
   * Refit the intercept alone without the penalty (FLIC), so that the mean of the fitted chances is the
   * observed share. Use it when chances rather than effects are wanted. Default false.
   */
  readonly flic?: boolean;
  /** `profile` (default) follows the penalised likelihood, `wald` takes estimate +- z se, `none` leaves them out. */
  readonly intervals?: "profile" | "wald" | "none";
  /** Default 0.95. */
  readonly level?: number;
}

/** Refuses rows, counts, names and priors that do not fit together. */
export function checkPassFail(data: PassFailObservations, options: LogisticOptions): void {
  const { names, prior } = options;
  requireThat(names.length > 0, "fitLogistic needs at least one term in `names`");
  requireThat(
    data.passes.length === data.x.length && (data.trials ?? data.passes).length === data.x.length,
    `fitLogistic: ${data.x.length} rows of x need as many passes (${data.passes.length}) and trials`,
  );
  if (data.x.length === 0) throw new BeadbenchError("not-enough-data", "fitLogistic needs at least one row");
  data.x.forEach((row, i) => {
    checkRow({ caller: "fitLogistic", row, place: i, names, hint: "; give 1 for an intercept" });
    const trials = requireNumber(`fitLogistic: trials of row ${i + 1}`, data.trials?.[i] ?? 1, { min: 0 });
    requireNumber(`fitLogistic: passes of row ${i + 1}`, data.passes[i]!, { min: 0, max: trials });
  });
  checkPrior("fitLogistic", prior, names.length);
}
