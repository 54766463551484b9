import { requireNumber, requireThat } from "../../errors/index.js";
import type { CoefficientPrior } from "../linear/index.js";

/**
 * Refuses a row of regressors that does not fit the names, or holds what is no number.
 */
export function checkRow({
  caller,
  row,
  place,
  names,
  hint = "",
}: {
  /** Function named in the message. */
  readonly caller: string;
  readonly row: readonly number[];
  /** Of the row, from 0. */
  readonly place: number;
  readonly names: readonly string[];
  /** How to mend a row of the wrong length. */
  readonly hint?: string;
}): void {
  requireThat(
    row.length === names.length,
    `${caller}: row ${place + 1} holds ${row.length} values for ${names.length} names${hint}`,
  );
  for (const [j, value] of row.entries()) requireNumber(`${caller}: ${names[j]} of row ${place + 1}`, value);
}

/** Refuses a prior without a mean and a positive standard deviation for each term. */
export function checkPrior(caller: string, prior: CoefficientPrior | undefined, terms: number): void {
  requireThat(
    prior === undefined ||
      (prior.mean.length === terms && prior.sd.length === terms && prior.sd.every((sd) => sd > 0)),
    `${caller}: the prior needs a mean and an sd above 0 (Infinity for no opinion) for each of the ${terms} terms`,
  );
}
