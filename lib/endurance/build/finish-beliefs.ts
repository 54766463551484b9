/** A law of how one build is lost, of which the chance p that a build like the one to come is finished is left open. */
export interface FinishLaw {
  /**
   * `rate`: a hazard in the work, cumulative hazard as run^within. `uneven rate`: the same, with good and bad builds (a gamma
   * factor of variance `uneven` on each). `share`: a share of builds is doomed from the start, a human error or a bad spool,
   * and ends somewhere by run^within, whatever the share; `early share`: soon, by 1 - (1 - run)^within.
   */
  readonly kind: "rate" | "uneven rate" | "share" | "early share";
  readonly within: number;
  /** Variance of the factor between builds; 0 for the other kinds. */
  readonly uneven: number;
  readonly weight: number;
}

/** How the hazard moves from build to build. */
export interface FinishTrend {
  /** Falls as the number of the build, or as 1 + the builds before which equipment was changed, to the power -fall. */
  readonly by: "builds" | "changes";
  /** 0 for none, below 0 where it grows. */
  readonly fall: number;
  readonly weight: number;
}

/** Beliefs before the first attempt: what the averaging begins with. No source: judged on simulated rigs. */
export interface FinishBeliefs {
  /** Beta shapes of p. */
  readonly chance: readonly [number, number];
  /** Beta shapes of p behind the lower and the upper bound. */
  readonly bounds: readonly [readonly [number, number], readonly [number, number]];
  readonly laws: readonly FinishLaw[];
  /** Where no equipment was changed between the builds, and where it was. */
  readonly trends: { readonly unchanged: readonly FinishTrend[]; readonly changed: readonly FinishTrend[] };
}

const law = (kind: Exclude<FinishLaw["kind"], "uneven rate">, within: number, weight: number): FinishLaw => ({
  kind,
  within,
  uneven: 0,
  weight,
});
const unevenRate = (within: number, weight: number): FinishLaw => ({
  kind: "uneven rate",
  within,
  uneven: 1.5,
  weight,
});
const trend = (by: FinishTrend["by"], fall: number, weight: number): FinishTrend => ({ by, fall, weight });

/**
 * A firm belief about p scores best over shops of all kinds, but pulls what is claimed of shops that lose one build in
 * five or five in six to the middle; none at all is right on average for each of them, and says "hardly ever" after three
 * losses of which a fifth still come good. This one lies between: `npm run bench -- finishing` prints both faults. Bounds
 * made of it would be too tight after two or three builds of one kind, and rest on firmer ones, each on its careful side.
 */
export const FINISH_BELIEFS: FinishBeliefs = {
  chance: [0.19, 0.25],
  bounds: [
    [0.5, 1],
    [1, 0.5],
  ],
  laws: [
    law("early share", 8, 0.08),
    law("share", 0.4, 0.05),
    law("share", 1, 0.18),
    law("share", 2.5, 0.31),
    law("rate", 0.5, 0.04),
    law("rate", 1, 0.06),
    law("rate", 2, 0.05),
    law("rate", 4, 0.18),
    unevenRate(0.7, 0.015),
    unevenRate(1, 0.02),
    unevenRate(3, 0.015),
  ],
  trends: {
    unchanged: [
      trend("builds", 0, 0.82),
      trend("builds", 0.6, 0.08),
      trend("builds", 1.4, 0.07),
      trend("builds", -0.4, 0.03),
    ],
    changed: [
      trend("builds", 0, 0.5),
      trend("builds", 0.6, 0.05),
      trend("builds", 1.4, 0.05),
      trend("changes", 1, 0.2),
      trend("changes", 2, 0.2),
    ],
  },
};
