import { normalQuantile } from "../../numeric/index.js";
import type { Priors } from "../priors/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import type { LogNormal } from "./latent-prior.js";
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
  /** A threshold may lie this many times further out than in: many ways to fail never show on a given rig. */
  readonly outward: number;
  readonly softness: LogNormal;
  /** Standard deviation of the quantity's slope along each axis: how wrong its formula may be. */
  readonly slopeSds: readonly number[];
}

/** What the margins of a study follow from. */
export interface FailureMarginParts {
  readonly coordinates: readonly Coordinate[];
  /** Undefined where the physics is not known. */
  readonly logs: PhysicalLogs | undefined;
  /** Expected ln width, when the physics gives one. */
  readonly width: Affine | undefined;
  /** Number of checks of the study; a way to fail is expected to show in one of them. */
  readonly checks: number;
  readonly priors: Priors;
}

/** A threshold with a trade rule behind it, and how far rigs lie from it. */
interface Threshold {
  readonly at: number;
  readonly sd: number;
}

/** A quantity that fails a coupon when it is too high (`above`) or too low (`below`); "unknown" where nobody says when. */
interface Danger {
  readonly name: string;
  readonly quantity: Affine;
  readonly above?: Threshold | "unknown";
  readonly below?: Threshold | "unknown";
}

/**
 * The ways a coupon may fail: each physical quantity that decides fusion, stubbing, burn-through, humping
 * or balling, too high or too low; raw settings where the physics is unknown.
 */
export function failureMargins(parts: FailureMarginParts): readonly Margin[] {
  const { coordinates, logs, width, priors } = parts;
  const dangers = [
    ...(logs === undefined ? [] : physicalDangers(logs, width, priors)),
    ...rawDangers(coordinates, logs !== undefined),
  ];
  return dangers.flatMap((danger) => marginsOf(danger, parts));
}

/** Dangers by what is known of arcs and pools. */
function physicalDangers(logs: PhysicalLogs, width: Affine | undefined, priors: Priors): readonly Danger[] {
  const { current, voltage, travel, area, energy } = logs;
  return [
    ...(logs.currentFromFeed ? [] : [feedDanger(logs, priors)]),
    { name: "arc energy", quantity: energy, ...bothUnknown },
    { name: "metal per length", quantity: area, ...bothUnknown },
    {
      name: "current times travel speed",
      quantity: combine([
        [1, current],
        [1, travel],
      ]),
      above: "unknown",
    },
    ...(width === undefined ? [] : [slenderDanger(area, width, priors)]),
    ...(logs.currentFromFeed
      ? [
          {
            name: "voltage for the feed",
            quantity: combine([
              [1, voltage],
              [-priors.feed_voltage_exponent, current],
            ]),
            ...bothUnknown,
          },
        ]
      : []),
  ];
}

const bothUnknown = { above: "unknown", below: "unknown" } as const;

/** Wire fed faster or slower than the arc can melt it. */
function feedDanger(logs: PhysicalLogs, priors: Priors): Danger {
  const { consumable, feed, current, share, efficiencyDoubt } = logs;
  if (!consumable) {
    // The share holds the efficiency, which may itself be known less well than usual.
    const doubt = (sd: number): number => Math.hypot(sd, efficiencyDoubt);
    return {
      name: "wire share of arc power",
      quantity: share,
      above: { at: Math.log(priors.wire_share_most), sd: doubt(priors.wire_share_most_sd) },
      below: { at: Math.log(priors.wire_share_least), sd: doubt(priors.wire_share_least_sd) },
    };
  }
  const quantity = combine([
    [1, feed],
    [-priors.melting_current_exponent, current],
  ]);
  return { name: "feed over melting rate", quantity, ...bothUnknown };
}

/** A bead too high for its width balls. */
function slenderDanger(area: Affine, width: Affine, priors: Priors): Danger {
  return {
    name: "height over width",
    quantity: combine(
      [
        [1, area],
        [-2, width],
      ],
      -Math.log(priors.bead_fullness),
    ),
    above: { at: Math.log(priors.slenderness_most), sd: priors.slenderness_most_sd },
  };
}

/** Each axis on its own, but for wire feed and travel speed where the physics speaks of them. */
function rawDangers(coordinates: readonly Coordinate[], physics: boolean): readonly Danger[] {
  return coordinates.flatMap((axis, j): Danger[] => {
    const covered = axis.quantity === "wire_feed_speed" || axis.quantity === "travel_speed";
    if (physics && covered) return [];
    const quantity = { constant: 0, slopes: coordinates.map((_, k) => (k === j ? 1 : 0)) };
    const name = axis.level === undefined ? axis.factor : `${axis.factor} ${axis.level}`;
    return [{ name, quantity, ...bothUnknown }];
  });
}

/** The margins of a danger, above first; none for a quantity that the study does not move. */
function marginsOf(
  { name, quantity, above, below }: Danger,
  { coordinates, checks, priors }: FailureMarginParts,
): readonly Margin[] {
  const half = quantity.slopes.reduce((sum, slope, j) => sum + Math.abs(slope) * coordinates[j]!.half, 0);
  if (half < 1e-9) return [];
  const slopeSds = coordinates.map(({ kind }) =>
    kind === "log" ? priors.margin_slope_sd : priors.margin_slope_sd * half,
  );
  const common = {
    name,
    quantity,
    rarity: -normalQuantile(priors.margin_showing / Math.max(checks, 1)),
    outward: priors.boundary_outward,
    softness: { median: priors.boundary_softness, logSd: priors.boundary_softness_spread },
    slopeSds,
  };
  const margin = (side: 1 | -1, threshold: Threshold | "unknown" | undefined): readonly Margin[] => {
    if (threshold === undefined) return [];
    const { at, sd } =
      threshold === "unknown"
        ? {
            at: quantity.constant + side * priors.margin_threshold * half,
            sd: priors.margin_threshold_sd * half,
          }
        : threshold;
    return [{ ...common, side, threshold: at, thresholdSd: sd }];
  };
  return [...margin(1, above), ...margin(-1, below)];
}
