import type { DepartureBasis } from "./departure-basis.js";
import { fitLatent, type LatentData, type LatentPosterior } from "./latent-fit.js";
import type { LatentPrior } from "./latent-prior.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { chooseInflation } from "./transfer.js";

/** Posteriors of the hidden quantities, and what went into them. */
export interface LatentFits {
  readonly posteriors: readonly LatentPosterior[];
  /** Per hidden quantity, the coupons that show it. */
  readonly shownBy: readonly (readonly number[])[];
  /** Per hidden quantity that an older study shows: how many times larger its scatter is taken. */
  readonly inflation: Readonly<Record<string, number>>;
}

/** What the hidden quantities of a study are fitted to. */
export interface LatentFitParts {
  readonly priors: readonly LatentPrior[];
  readonly basis: DepartureBasis;
  readonly own: readonly SeenCoupon[];
  readonly older: readonly SeenCoupon[];
}

/** Fits every hidden quantity to the coupons that show it, the older ones as far as they agree. */
export function fitLatents({ priors, basis, own, older }: LatentFitParts): LatentFits {
  const [ownRows, olderRows] = [own, older].map((coupons) =>
    coupons.map(({ point }) => basisRow(basis, point)),
  );
  const inflation: Record<string, number> = {};
  const shownBy = priors.map((_, l) => own.flatMap(({ latents }, i) => (latents.has(l) ? [i] : [])));
  const posteriors = priors.map((prior, l) => {
    const evidence = { prior, data: dataOf(own, ownRows!, l), size: basis.size };
    const known = dataOf(older, olderRows!, l);
    if (known.values.length === 0) return fitLatent(evidence);
    const chosen = chooseInflation(evidence, known);
    inflation[prior.name] = chosen.inflation;
    return fitLatent(evidence, chosen);
  });
  return { posteriors, shownBy, inflation };
}

function dataOf(coupons: readonly SeenCoupon[], rows: readonly Float64Array[], l: number): LatentData {
  const shown = coupons.flatMap(({ latents, block }, i) => {
    const value = latents.get(l);
    return value === undefined ? [] : [{ row: rows[i]!, value, block }];
  });
  return {
    rows: shown.map(({ row }) => row),
    values: shown.map(({ value }) => value),
    blocks: shown.map(({ block }) => block),
  };
}

function basisRow(basis: DepartureBasis, point: Float64Array): Float64Array {
  const row = new Float64Array(basis.size);
  basis.evaluate(point, row);
  return row;
}
