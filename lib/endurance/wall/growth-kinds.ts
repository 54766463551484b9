import type { GrowthBelief, GrowthTraits } from "./growth-state.js";

/** How a wall heats up while it grows, layer by layer. */
export type CourseShape = "steady" | "exponential" | "hyperbolic" | "slow" | "delayed" | "until";
/** How a rig answers its stand-off. */
export type Answer = "none" | "settles" | "held" | "runs-away";

/**
 * Share of the drop that has come after so many halves of it, with half of it at 1. Exponential: one store of heat.
 * Hyperbolic: heat leaves by a base that gets further away. Slow: heat soaks in as the root of time. Delayed: a base that
 * keeps cold for some layers. Until: it goes on until an interpass temperature is kept.
 */
const courses: Readonly<Record<CourseShape, (halves: number) => number>> = {
  steady: () => 0,
  exponential: (u) => -Math.expm1(-Math.LN2 * u),
  hyperbolic: (u) => u / (1 + u),
  slow: (u) => 1 - 1 / Math.sqrt(1 + 3 * u),
  delayed: (u) => (u * u) / (1 + u * u),
  until: (u) => Math.min(1, u / 2),
};

/**
 * Beliefs about walls before any was logged; lengths as shares of the layer height. Common practice, no source.
 * Set on the laws `wallLaws` of test/endurance/wall/walls.ts.
 */
export const WALL_BELIEFS = {
  shape: { steady: 0.1, exponential: 0.2, hyperbolic: 0.2, slow: 0.15, delayed: 0.25, until: 0.1 },
  /** TIG and plasma at constant current hardly answer unless a voltage control holds them; a fed electrode regulates. */
  answer: {
    fixed: { none: 0.82, settles: 0.05, held: 0.12, "runs-away": 0.01 },
    consumable: { none: 0.25, settles: 0.58, held: 0.15, "runs-away": 0.02 },
  },
  slope: {
    none: { median: 0, factor: 1 },
    settles: { median: 0.15, factor: 2 },
    held: { median: 0.8, factor: 1.3 },
    "runs-away": { median: -0.04, factor: 2 },
  },
  layerSd: { median: 0.04, factor: 2 },
  rippleSd: { median: 0.03, factor: 2.2 },
  wallSd: { median: 0.009, factor: 1.8 },
  departureSd: { median: 0.02, factor: 1.8 },
} as const;

/** A structure that a rig's walls may have. */
export interface GrowthKind {
  readonly shape: CourseShape;
  readonly answer: Answer;
  /** Before the log. */
  readonly chance: number;
  /** Names of the unknowns, in the order of their standard normal coordinates. */
  readonly unknowns: readonly string[];
  readonly traits: (coordinates: ArrayLike<number>) => GrowthTraits;
}

/** Every structure, with its chance. */
export function growthKinds({
  belief,
  layers,
  answers,
}: {
  readonly belief: GrowthBelief;
  readonly layers: number;
  /** Whether the log tells rises; without them no answer to the stand-off shows. */
  readonly answers: boolean;
}): readonly GrowthKind[] {
  const chances: Readonly<Record<string, number>> =
    WALL_BELIEFS.answer[belief.consumable ? "consumable" : "fixed"];
  return Object.entries(WALL_BELIEFS.shape).flatMap(([shape, shapeChance]) =>
    Object.entries(answers ? chances : { none: 1 }).map(([answer, answerChance]) =>
      kindOf({
        shape: shape as CourseShape,
        answer: answer as Answer,
        chance: shapeChance * answerChance,
        belief,
        layers,
      }),
    ),
  );
}

function kindOf({
  shape,
  answer,
  chance,
  belief: { growth, half },
  layers,
}: {
  readonly shape: CourseShape;
  readonly answer: Answer;
  readonly chance: number;
  readonly belief: GrowthBelief;
  readonly layers: number;
}): GrowthKind {
  const b = WALL_BELIEFS;
  const unknowns = [
    "layerSd",
    "rippleSd",
    "wallSd",
    "departureSd",
    ...(shape === "steady" ? [] : ["half"]),
    ...(answer === "none" ? [] : ["slope"]),
  ];
  const log = (
    { median, factor }: { readonly median: number; readonly factor: number },
    z: number | undefined,
  ): number => median * factor ** (z ?? 0);
  const [halfPlace, slopePlace] = [unknowns.indexOf("half"), unknowns.indexOf("slope")];
  return {
    shape,
    answer,
    chance,
    unknowns,
    traits(z) {
      const layersToHalf = log(half, z[halfPlace]);
      return {
        heated: Float64Array.from({ length: layers }, (_, i) => courses[shape](i / layersToHalf)),
        slope: log(b.slope[answer], z[slopePlace]),
        layerSd: growth.mean * log(b.layerSd, z[0]),
        rippleSd: growth.mean * log(b.rippleSd, z[1]),
        wallSd: growth.mean * log(b.wallSd, z[2]),
        departureSd: growth.mean * log(b.departureSd, z[3]),
      };
    },
  };
}
