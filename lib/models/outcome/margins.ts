import { normalQuantile } from "../../numeric/index.js";
import { usualFullness } from "../../process/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import type { PhysicalLogs } from "./physical-logs.js";

/**
 * One way a coupon can fail: a quantity beyond a threshold that is only roughly known.
 * The margin `side * (threshold - quantity)` counts as held when positive.
 */
export interface Margin {
  readonly name: string;
  readonly quantity: Affine;
  /** +1: too much fails; -1: too little fails. */
  readonly side: 1 | -1;
  readonly threshold: number;
  readonly thresholdSd: number;
  /** How seldom this way to fail shows: thresholds lie this many standard scores further out. */
  readonly rarity: number;
  /** Standard deviation of the quantity's slope along each axis: how wrong its formula may be. */
  readonly slopeSds: readonly number[];
}

/** Doubt about a slope: of a physical quantity per unit of logarithm, of a raw setting per half range. */
const SLOPE_SD = 0.2;
/**
 * Chance that a way to fail lies nearer than its expected threshold, in one check or another. With it 10 to
 * 30 % of the settings of a study survive before any coupon: common practice on such rigs, no source.
 */
const SHOWING = 0.35;
/** Thresholds nobody knows are sought this far (in half ranges of the quantity) from the middle. */
const RANGE = { threshold: 0.65, sd: 0.5 } as const;

/** Thresholds with a trade rule behind them, ln; common practice and memory, no source. */
const rules = {
  share: { upper: [Math.log(0.27), 0.35], lower: [Math.log(0.06), 0.5] },
  /** Feed over the feed that melts, for a consumable electrode with its current set apart. */
  match: { upper: [Math.log(1.3), 0.3], lower: [Math.log(0.75), 0.3] },
  /** Height over width at which a bead balls. */
  slender: { upper: [Math.log(0.62), 0.35] },
} as const;

type Rule = { readonly upper?: readonly [number, number]; readonly lower?: readonly [number, number] };

/** A rule whose quantity holds an efficiency that is itself known less well than usual. */
function lessSure(
  { upper, lower }: { readonly upper: readonly [number, number]; readonly lower: readonly [number, number] },
  doubt: number,
): Rule {
  const wider = ([threshold, sd]: readonly [number, number]) => [threshold, Math.hypot(sd, doubt)] as const;
  return { upper: wider(upper), lower: wider(lower) };
}

/**
 * The ways a coupon may fail: each physical quantity that decides fusion, stubbing, burn-through, humping
 * or balling, too high or too low; raw settings where the physics is unknown.
 *
 * @param width - expected ln width, when the physics gives one
 * @param checks - number of checks of the study; a way to fail is expected to show in one of them
 */
export function failureMargins(
  coordinates: readonly Coordinate[],
  logs: PhysicalLogs | undefined,
  width: Affine | undefined,
  checks: number,
): readonly Margin[] {
  const rarity = -normalQuantile(SHOWING / Math.max(checks, 1));
  const margins: Margin[] = [];
  const add = (name: string, quantity: Affine, sides: readonly (1 | -1)[], rule: Rule = {}): void => {
    const half = quantity.slopes.reduce((sum, slope, j) => sum + Math.abs(slope) * coordinates[j]!.half, 0);
    if (half < 1e-9) return;
    for (const side of sides) {
      const known = side === 1 ? rule.upper : rule.lower;
      const threshold = known?.[0] ?? quantity.constant + side * RANGE.threshold * half;
      const thresholdSd = known?.[1] ?? RANGE.sd * half;
      const slopeSds = coordinates.map((axis) => (axis.kind === "log" ? SLOPE_SD : SLOPE_SD * half));
      margins.push({ name, quantity, side, threshold, thresholdSd, rarity, slopeSds });
    }
  };
  const both = [1, -1] as const;
  if (logs !== undefined) {
    if (!logs.currentFromFeed) {
      if (logs.consumable) {
        add(
          "feed over melting rate",
          combine([
            [1, logs.feed],
            [-1.1, logs.current],
          ]),
          both,
        );
      } else add("wire share of arc power", logs.share, both, lessSure(rules.share, logs.efficiencyDoubt));
    }
    add("arc energy", logs.energy, both);
    add("metal per length", logs.area, both);
    add(
      "current times travel speed",
      combine([
        [1, logs.current],
        [1, logs.travel],
      ]),
      [1],
    );
    if (width !== undefined) {
      add(
        "height over width",
        combine(
          [
            [1, logs.area],
            [-2, width],
          ],
          -Math.log(usualFullness.bead.value.value),
        ),
        [1],
        rules.slender,
      );
    }
    if (logs.currentFromFeed)
      add(
        "voltage for the feed",
        combine([
          [1, logs.voltage],
          [-0.4, logs.current],
        ]),
        both,
      );
  }
  coordinates.forEach((axis, j) => {
    const quantity = { constant: 0, slopes: coordinates.map((_, k) => (k === j ? 1 : 0)) };
    const name = axis.level === undefined ? axis.factor : `${axis.factor} ${axis.level}`;
    const covered =
      logs !== undefined && (axis.quantity === "wire_feed_speed" || axis.quantity === "travel_speed");
    if (covered) return;
    add(name, quantity, both);
  });
  return margins;
}
