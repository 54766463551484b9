import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** Melting law of a wire that carries the arc, for one diameter. */
export interface MeltingCoefficients {
  /** alpha, mm/(A s): melting by the arc. */
  readonly alpha: number;
  /** beta, 1/(A2 s): melting by resistance, per mm of electrode extension. */
  readonly beta: number;
}

const norrish = "Norrish, Advanced Welding Processes, after Lesnewich 1958 and Halmoy 1979, 1.2 mm DCEP";

/** Melting laws of 1.2 mm wire; fit your own from a few feeds and currents. */
export const meltingCoefficients: Readonly<
  Record<"steel" | "aluminium", Readonly<Record<"alpha" | "beta", SourcedValue>>>
> = {
  steel: {
    alpha: sourced(0.3, "mm/(A s)", "from memory", norrish),
    beta: sourced(5e-5, "1/(A2 s)", "from memory", norrish),
  },
  aluminium: {
    alpha: sourced(0.75, "mm/(A s)", "from memory", norrish),
    beta: sourced(0, "1/(A2 s)", "from memory", `${norrish}, resistive part negligible`),
  },
};

/**
 * The same wire at another diameter: alpha goes with 1/A_w, beta with 1/A_w^2.
 *
 * @param from - mm, diameter the coefficients are for
 * @param to - mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source derived from the energy balance
 */
export function scaleMelting(
  coefficients: MeltingCoefficients,
  from: number,
  to: number,
): MeltingCoefficients {
  requireSetting("wire_diameter", from);
  requireSetting("wire_diameter", to);
  const ratio = (from / to) ** 2;
  return { alpha: coefficients.alpha * ratio, beta: coefficients.beta * ratio * ratio };
}

/**
 * Melting speed of a consumable electrode.
 *
 *     v_m = alpha I + beta L I^2
 *
 * Steel in spray or globular transfer at 100 to 350 A and 8 to 25 mm of extension; poor for short
 * circuit. For a pulsed arc give the rms current too: it drives the resistive part.
 *
 * @returns mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source Lesnewich, Welding Journal 37 (1958) 343s and 418s; Halmoy, IIW 1979
 * @example meltingSpeed({ coefficients: { alpha: 0.3, beta: 5e-5 }, current: 200, extension: 15 }) // => 90
 */
export function meltingSpeed({
  coefficients,
  current,
  extension,
  rmsCurrent = current,
}: {
  readonly coefficients: MeltingCoefficients;
  /** I, mean, A. */
  readonly current: number;
  /** L, electrode extension, mm. */
  readonly extension: number;
  /** A. Default the mean current. */
  readonly rmsCurrent?: number;
}): number {
  requireSetting("current", current);
  requireNumber("rms current", rmsCurrent, { min: current, unit: "A" });
  requireSetting("stickout", extension);
  return coefficients.alpha * current + coefficients.beta * extension * rmsCurrent * rmsCurrent;
}

/**
 * Current at which the wire melts as fast as it is fed: the inverse of {@link meltingSpeed}.
 *
 * @param feed - mm/s
 * @returns A
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example currentForFeed({ alpha: 0.3, beta: 5e-5 }, 90, 15) // => 200.000
 */
export function currentForFeed(coefficients: MeltingCoefficients, feed: number, extension: number): number {
  requireSetting("wire_feed_speed", feed);
  requireSetting("stickout", extension);
  const { alpha, beta } = coefficients;
  return (2 * feed) / (alpha + Math.sqrt(alpha * alpha + 4 * beta * extension * feed));
}

/**
 * Change of current per mm of extension at constant feed and voltage.
 *
 *     dI/dL = -beta I^2 / (alpha + 2 beta L I)
 *
 * Its negative sign makes a MIG/MAG stand-off settle by itself.
 *
 * @returns A/mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example currentPerExtension({ alpha: 0.3, beta: 5e-5 }, 200, 15) // => -3.3333
 */
export function currentPerExtension(
  coefficients: MeltingCoefficients,
  current: number,
  extension: number,
): number {
  requireSetting("current", current);
  requireSetting("stickout", extension);
  const { alpha, beta } = coefficients;
  return (-beta * current * current) / (alpha + 2 * beta * extension * current);
}

/**
 * Range in which the melting law was measured.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkMeltingRange(200, 15) // => []
 */
export function checkMeltingRange(current: number, extension: number): readonly Finding[] {
  requireSetting("current", current);
  requireSetting("stickout", extension);
  const outside = [
    ...(current < 100 || current > 350 ? [`${fixed(current, 0)} A (100 to 350 A)`] : []),
    ...(extension < 8 || extension > 25 ? [`${fixed(extension, 1)} mm extension (8 to 25 mm)`] : []),
  ];
  if (outside.length === 0) return [];
  return [
    {
      code: "melting-law-range",
      severity: "warning",
      message: `the melting law was measured on steel in spray and globular transfer; outside its range: ${outside.join(", ")}`,
      advice: "fit the law to your own feeds and currents",
    },
  ];
}
