import { BeadbenchError, type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import { fitLinear, type Interval, type LinearFit, linearModel, predict } from "../../regression/index.js";
import { coefficientIntervals } from "../coefficient-intervals.js";
import { requireReadings } from "../require-readings.js";

/** One stop of a consumable electrode. */
export interface StopReading {
  /** s the source kept its power after feed-off. */
  readonly burnBackTime: number;
  /** Electrode extension after the stop less before, mm; negative when burned back. */
  readonly extensionChange: number;
}

/** Melt-back as a line over the burn-back time. */
export interface MeltBackFit {
  /** Wire that coasts on after feed-off, mm. */
  readonly coast: Interval;
  /** Melting speed at the falling current, mm/s. */
  readonly meltingSpeed: Interval;
  readonly fit: LinearFit;
  readonly findings: readonly Finding[];
}

/**
 * Coasting and melting speed from stops at different burn-back times.
 *
 *     change = coast - v_m t
 *
 * Five to ten stops over the range in use will do; one current and feed per fit.
 *
 * @param level - Default 0.95
 * @throws {BeadbenchError} `not-enough-data` below three stops or with one burn-back time only
 */
export function fitMeltBack(stops: readonly StopReading[], level = 0.95): MeltBackFit {
  requireReadings("a melt-back line", stops.length, 3);
  for (const { burnBackTime } of stops) requireSetting("burn_back_time", burnBackTime);
  const fit = fitLinear(
    { x: stops.map(({ burnBackTime }) => [1, -burnBackTime]), y: stops.map((stop) => stop.extensionChange) },
    { names: ["coast", "meltingSpeed"] },
  );
  const intervals = coefficientIntervals(fit, level);
  if (intervals.length < 2) {
    throw new BeadbenchError(
      "not-enough-data",
      "all stops have the same burn-back time: the melting speed shows only between different ones",
    );
  }
  const [coast, meltingSpeed] = intervals as readonly [Interval, Interval];
  const findings = [...fit.findings];
  if (meltingSpeed.lower <= 0) {
    findings.push({
      code: "melt-back-unclear",
      severity: "warning",
      message: `melting speed lies between ${fixed(meltingSpeed.lower, 1)} and ${fixed(meltingSpeed.upper, 1)} mm/s: the stops do not show it`,
      advice: "stop at more and wider spread burn-back times",
    });
  }
  return { coast, meltingSpeed, fit, findings };
}

/** Burn-back time for a wanted change, and what one stop there may give. */
export interface BurnBackAdvice {
  /** s; null when no time at all gives the change. */
  readonly time: number | null;
  /** Range of the change of one stop at that time, mm. */
  readonly change: { readonly lower: number; readonly upper: number } | null;
}

/**
 * Burn-back time that leaves a wanted change of the extension, (coast - change) / v_m.
 *
 * @param change - mm; 0 leaves the wire as long as it was
 * @param level - of the range. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function burnBackTimeFor(
  { coast, meltingSpeed, fit }: MeltBackFit,
  change: number,
  level = 0.95,
): BurnBackAdvice {
  requireNumber("change of the extension", change, { unit: "mm" });
  const time = (coast.estimate - change) / meltingSpeed.estimate;
  if (!(meltingSpeed.estimate > 0) || time < 0) return { time: null, change: null };
  const [at] = predict({ fit, model: linearModel(fit.parameters), x: [[1, -time]], level });
  return { time, change: at!.prediction };
}
