import type { Priors } from "../priors/index.js";
import type { Coordinate } from "./coordinates.js";
import type { DepartureBasis } from "./departure-basis.js";
import type { LatentModel } from "./latent.js";
import type { LatentData } from "./latent-evidence.js";
import { fitLatent, type LatentPosterior } from "./latent-fit.js";
import type { LatentPrior } from "./latent-prior.js";
import { doubtRecords, type RecordDoubt, type SlipShares, SOUND } from "./record-doubt.js";
import { responseScatter } from "./response-scatter.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { shareBlocks } from "./shared-blocks.js";
import { chooseInflation } from "./transfer.js";

/** Posteriors of the hidden quantities, and what went into them. */
export interface LatentFits {
  readonly posteriors: readonly LatentPosterior[];
  /** Per hidden quantity, the coupons that show it. */
  readonly shownBy: readonly (readonly number[])[];
  /** Per hidden quantity that an older study shows: how many times larger its scatter is taken. */
  readonly inflation: Readonly<Record<string, number>>;
  /** Covariance of the scatter of the responses. */
  readonly scatter: readonly (readonly number[])[];
  /** Per coupon, how likely it is not what its record says. */
  readonly doubts: readonly RecordDoubt[];
  readonly shares: SlipShares;
}

/** What the hidden quantities of a study are fitted to. */
export interface LatentFitParts {
  readonly latent: LatentModel;
  /** Responses that are grades by eye. */
  readonly graded: ReadonlySet<string>;
  readonly coordinates: readonly Coordinate[];
  readonly basis: DepartureBasis;
  readonly own: readonly SeenCoupon[];
  readonly older: readonly SeenCoupon[];
  readonly priors: Priors;
}

/** Doubt about a coupon, summed over what may be wrong with it, below which the fit is left as it is. */
const DOUBTFUL = 0.1;
/** Change of a doubt that asks for another fit. */
const SETTLED = 0.03;
/** Fits at most, beside one for every two coupons. */
const MOST_ROUNDS = 3;
/** Records that the expected share of slips counts for. */
const SHARE_COUNTS = 50;
/** No more of a log than this is taken for slips: beyond it the model is what is wrong. */
const MOST_SLIPS = 0.25;

/**
 * Fits every hidden quantity to the coupons that show it, the older ones as far as they agree, and each coupon as far as
 * its record can be trusted. Coupons come under doubt one at a time, the plainest first, so that two slips do not hide
 * each other and a sound coupon is not blamed for the slip beside it.
 */
export function fitLatents(parts: LatentFitParts): LatentFits {
  const { latent, own, priors } = parts;
  const refit = fitterOf(parts);
  let shares: SlipShares = { reading: priors.reading_slip, elsewhere: priors.other_setting };
  let doubts: readonly RecordDoubt[] = own.map(({ memory }) =>
    memory === undefined ? SOUND : { ...SOUND, any: memory.wrong, elsewhere: memory.wrong },
  );
  let found = refit(doubts);
  for (let round = 0; ; round++) {
    const fresh = doubtRecords(own, { ...parts, ...found, shares });
    const before = doubts.map(({ any }) => any);
    const now = fresh.map(({ any }) => any);
    const rising = now.map((value, i) => (value > DOUBTFUL && before[i]! <= DOUBTFUL ? value : 0));
    const plainest = rising.indexOf(Math.max(...rising, 0));
    const next = fresh.map((doubt, i) => (rising[i]! > 0 && i !== plainest ? SOUND : doubt));
    const moved = Math.max(0, ...next.map(({ any }, i) => Math.abs(any - before[i]!)));
    const small = next.every(({ any }, i) => any <= DOUBTFUL && before[i]! <= DOUBTFUL);
    if (small || moved < SETTLED || round >= MOST_ROUNDS + own.length / 2) {
      return { ...found, doubts: fresh, shares };
    }
    doubts = next;
    shares = sharesOf(
      doubts.filter((_, i) => own[i]!.memory === undefined),
      latent,
      priors,
    );
    found = refit(doubts);
  }
}

function sharesOf(doubts: readonly RecordDoubt[], latent: LatentModel, priors: Priors): SlipShares {
  const measured = doubts.filter(({ readings }) => readings.size > 0);
  const readings = measured.flatMap((doubt) => [...doubt.readings.values()].map(({ slip }) => slip));
  const learnt = (prior: number, chances: readonly number[]): number =>
    Math.min(
      MOST_SLIPS,
      (prior * SHARE_COUNTS + chances.reduce((sum, chance) => sum + chance, 0)) /
        (SHARE_COUNTS + chances.length),
    );
  return {
    reading: latent.links.length === 0 ? priors.reading_slip : learnt(priors.reading_slip, readings),
    elsewhere: learnt(
      priors.other_setting,
      measured.map(({ elsewhere }) => elsewhere),
    ),
  };
}

type Found = Omit<LatentFits, "doubts" | "shares">;

/** Fits all hidden quantities under given doubts. */
function fitterOf({
  latent,
  basis,
  own,
  older,
  priors,
}: LatentFitParts): (doubts: readonly RecordDoubt[]) => Found {
  const [ownRows, olderRows] = [own, older].map((coupons) =>
    coupons.map(({ point }) => basisRow(basis, point)),
  );
  const shownBy = latent.priors.map((_, l) => own.flatMap(({ latents }, i) => (latents.has(l) ? [i] : [])));
  const known = latent.priors.map((_, l) => dataOf({ coupons: older, rows: olderRows!, l, trust: () => 1 }));
  const needs = latent.priors.map((_, l) => readingsBehind(latent, l));
  const manyBlocks =
    new Set(own.filter(({ memory }) => memory === undefined).map(({ block }) => block)).size > 1;
  return (doubts) => {
    const inflation: Record<string, number> = {};
    const trust = (i: number, l: number): number =>
      trustIn(doubts[i]!, needs[l]!) * sharpness(own[i]!, latent.priors[l]!, l);
    const data = latent.priors.map((_, l) =>
      dataOf({ coupons: own, rows: ownRows!, l, trust: (i) => trust(i, l) }),
    );
    const fitAll = (expected: readonly LatentPrior[]): readonly LatentPosterior[] =>
      expected.map((prior, l) => {
        const evidence = { prior, data: data[l]!, size: basis.size };
        if (known[l]!.values.length === 0) return fitLatent(evidence);
        const chosen = chooseInflation(evidence, known[l]!);
        inflation[prior.name] = chosen.inflation;
        return fitLatent(evidence, chosen);
      });
    const apart = fitAll(latent.priors);
    const posteriors = apart.length > 1 && manyBlocks ? fitAll(shareBlocks(latent.priors, apart)) : apart;
    const scatter = responseScatter({
      latent,
      posteriors,
      shownBy,
      trust,
      expectedCounts: priors.scatter_coupons,
    });
    return { posteriors, shownBy, inflation, scatter };
  };
}

/** The responses that a coupon's value of a hidden quantity is worked out from. */
function readingsBehind({ links }: LatentModel, l: number): readonly number[] {
  const link = links.find(({ own }) => own === l)!;
  return links.flatMap(({ own }, r) => (link.coefficients[own] === 0 ? [] : [r]));
}

function trustIn({ readings, elsewhere }: RecordDoubt, needs: readonly number[]): number {
  const slip = needs.reduce((sum, r) => sum + (readings.get(r)?.slip ?? 0), 0);
  return Math.max(0, 1 - elsewhere - slip);
}

/** How much a value counts by how sharp it is: less where a memory blurs it beyond the scatter of coupons. */
function sharpness({ memory }: SeenCoupon, { scatter }: LatentPrior, l: number): number {
  return memory === undefined ? 1 : 1 / (1 + memory.latentBlur[l]! / scatter.median ** 2);
}

function dataOf({
  coupons,
  rows,
  l,
  trust,
}: {
  readonly coupons: readonly SeenCoupon[];
  readonly rows: readonly Float64Array[];
  readonly l: number;
  readonly trust: (coupon: number) => number;
}): LatentData {
  const shown = coupons.flatMap(({ latents, block, place }, i) => {
    const value = latents.get(l);
    return value === undefined ? [] : [{ row: rows[i]!, value, block, place, trust: trust(i) }];
  });
  return {
    rows: shown.map(({ row }) => row),
    values: shown.map(({ value }) => value),
    blocks: shown.map(({ block }) => block),
    places: shown.map(({ place }) => place),
    trust: shown.map((one) => one.trust),
  };
}

function basisRow(basis: DepartureBasis, point: Float64Array): Float64Array {
  const row = new Float64Array(basis.size);
  basis.evaluate(point, row);
  return row;
}
