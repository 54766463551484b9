import { requireNumber, requireThat } from "../errors/index.js";
import { betaCdf, betaQuantile, percent } from "../numeric/index.js";

/** What coupons run at the recommended setting say about the chance claimed for it. */
export interface Confirmation {
  readonly claimed: number;
  readonly coupons: number;
  readonly conforming: number;
  /** Posterior mean and 90 % interval of the chance from these coupons alone (Jeffreys prior). */
  readonly estimate: number;
  readonly interval: readonly [lower: number, upper: number];
  /** Chance of this few conforming or fewer if the claim were true. */
  readonly surprise: number;
  readonly verdict: "agrees" | "doubtful" | "refuted" | "too-few";
  readonly message: string;
}

/** Surprise below which a claim is doubtful, and refuted; confirmation coupons needed for "agrees". */
const LIMITS = { doubtful: 0.1, refuted: 0.01, enough: 3 } as const;

/**
 * Holds a claimed chance against coupons run to confirm it. A handful of coupons can refute a claim; to
 * confirm 0.9 within a few points takes dozens.
 *
 * @param claimed - chance of conformance stated before they were run
 * @throws {BeadbenchError} `bad-argument` for counts that are none
 * @source Beta posterior of a proportion with Jeffreys' prior; binomial tail
 */
export function confirmClaim(claimed: number, coupons: number, conforming: number): Confirmation {
  requireNumber("claimed chance", claimed, { min: 0, max: 1 });
  requireNumber("coupons", coupons, { min: 0 });
  requireNumber("conforming coupons", conforming, { min: 0, max: coupons });
  requireThat(
    Number.isInteger(coupons) && Number.isInteger(conforming),
    `confirmation counts coupons: whole numbers, got ${conforming} of ${coupons}`,
  );
  const [a, b] = [conforming + 0.5, coupons - conforming + 0.5];
  const surprise =
    conforming === coupons || claimed === 0
      ? 1
      : claimed === 1
        ? 0
        : betaCdf(1 - claimed, coupons - conforming, conforming + 1);
  const verdict =
    surprise < LIMITS.refuted
      ? "refuted"
      : surprise < LIMITS.doubtful
        ? "doubtful"
        : coupons < LIMITS.enough
          ? "too-few"
          : "agrees";
  const interval = [betaQuantile(0.05, a, b), betaQuantile(0.95, a, b)] as const;
  const words = {
    agrees: "the claim stands",
    "too-few": `run ${LIMITS.enough - coupons} more before relying on the claim`,
    doubtful: "the claim is doubtful: fit again with these coupons",
    refuted: "the claim does not hold: look for what has changed, and fit again with these coupons",
  }[verdict];
  return {
    claimed,
    coupons,
    conforming,
    estimate: a / (a + b),
    interval,
    surprise,
    verdict,
    message: `${conforming} of ${coupons} confirmation coupons conform against ${percent(claimed)} claimed (the coupons alone say ${percent(interval[0])} to ${percent(interval[1])}); ${words}`,
  };
}
