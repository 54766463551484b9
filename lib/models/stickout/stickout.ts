import type { Finding } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import { fitLinear, type Interval, type LinearFit } from "../../regression/index.js";
import { coefficientIntervals } from "../coefficient-intervals.js";
import { requireReadings } from "../require-readings.js";

/** One steady reading of a consumable electrode, which melts as fast as it is fed. */
export interface MeltingReading {
  /** Mean current, A. */
  readonly current: number;
  /** A; drives the resistive part of a pulsed arc. Default the mean current. */
  readonly rmsCurrent?: number;
  /** mm/s. */
  readonly wireFeedSpeed: number;
  /** Electrode extension, mm. */
  readonly extension: number;
}

/** A line or plane fitted to readings, with the intervals of its coefficients. */
export interface StickoutFit {
  readonly coefficients: readonly Interval[];
  readonly fit: LinearFit;
  readonly findings: readonly Finding[];
}

const coefficient = ({ coefficients }: StickoutFit, name: string): Interval | undefined =>
  coefficients.find((one) => one.name === name);

/**
 * Melting law of a wire from its own readings; coefficients `alpha` mm/(A s) and `beta` 1/(A2 s).
 *
 *     f = alpha I + beta L I_rms^2
 *
 * Vary current and extension both: at one extension the two coefficients cannot be told apart well.
 *
 * @throws {BeadbenchError} when a reading is out of range, `not-enough-data` below three
 * @source Lesnewich, Welding Journal 37 (1958) 343s; Halmoy, IIW 1979
 */
export function fitMeltingLaw(readings: readonly MeltingReading[], level = 0.95): StickoutFit {
  const x = readings.map(({ current, rmsCurrent = current, extension }) => {
    requireSetting("current", current);
    requireSetting("stickout", extension);
    return [current, extension * rmsCurrent ** 2];
  });
  const y = readings.map(({ wireFeedSpeed }) => requireSetting("wire_feed_speed", wireFeedSpeed));
  const result = summarise({ x, y, names: ["alpha", "beta"], level });
  const beta = coefficient(result, "beta");
  return beta === undefined || beta.lower > 0
    ? result
    : withFinding({
        result,
        code: "resistive-melting-unclear",
        what: "beta",
        range: beta,
        advice: "vary the extension more, at high current",
      });
}

/**
 * Arc voltage over arc length; coefficients `intercept` V, `arcLength` V/mm and, with more than one current,
 * `current` V/A. Repeat after each tungsten grind.
 *
 *     U = U0 + u l + r I
 *
 * @param readings - V, mm, A
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function fitArcVoltage(
  readings: readonly { readonly voltage: number; readonly arcLength: number; readonly current: number }[],
  level = 0.95,
): StickoutFit {
  const several = new Set(readings.map(({ current }) => current)).size > 1;
  const x = readings.map(({ arcLength, current }) => [
    1,
    requireSetting("standoff", arcLength),
    ...(several ? [requireSetting("current", current)] : []),
  ]);
  const y = readings.map(({ voltage }) => requireSetting("arc_voltage", voltage));
  const result = summarise({
    x,
    y,
    names: ["intercept", "arcLength", ...(several ? ["current"] : [])],
    level,
  });
  const slope = coefficient(result, "arcLength");
  return slope === undefined || slope.lower > 0
    ? result
    : withFinding({
        result,
        code: "voltage-no-gauge",
        what: "volts per mm",
        range: slope,
        advice: "wider steps of arc length at one current",
      });
}

/**
 * Current over contact-tip distance at constant voltage; coefficients `intercept` A, `contactTipDistance` A/mm and,
 * with more than one feed, `wireFeedSpeed` A s/mm. A falling current is what lets a MIG/MAG rig regulate itself.
 *
 * @param readings - A, mm, mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function fitTipDistance(
  readings: readonly {
    readonly current: number;
    readonly contactTipDistance: number;
    readonly wireFeedSpeed: number;
  }[],
  level = 0.95,
): StickoutFit {
  const several = new Set(readings.map(({ wireFeedSpeed }) => wireFeedSpeed)).size > 1;
  const x = readings.map(({ contactTipDistance, wireFeedSpeed }) => [
    1,
    requireSetting("contact_tip_distance", contactTipDistance),
    ...(several ? [requireSetting("wire_feed_speed", wireFeedSpeed)] : []),
  ]);
  const y = readings.map(({ current }) => requireSetting("current", current));
  const names = ["intercept", "contactTipDistance", ...(several ? ["wireFeedSpeed"] : [])];
  const result = summarise({ x, y, names, level });
  const slope = coefficient(result, "contactTipDistance");
  return slope === undefined || slope.upper < 0
    ? result
    : withFinding({
        result,
        code: "current-does-not-fall",
        what: "amperes per mm",
        range: slope,
        advice: "check that the source holds its voltage, and step the distance further",
      });
}

/**
 * Height one reading resolves: scatter of the reading over its slope, mm.
 *
 * @param name - `arcLength` of {@link fitArcVoltage} or `contactTipDistance` of {@link fitTipDistance}
 * @returns mm; null when the slope is not fitted
 */
export function heightResolution(result: StickoutFit, name: string): number | null {
  const slope = coefficient(result, name);
  return slope === undefined ? null : Math.abs(result.fit.residualSd / slope.estimate);
}

function summarise({
  x,
  y,
  names,
  level,
}: {
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly names: readonly string[];
  readonly level: number;
}): StickoutFit {
  requireReadings(`a law of ${names.length} coefficients`, y.length, names.length + 1);
  const fit = fitLinear({ x, y }, { names });
  return { coefficients: coefficientIntervals(fit, level), fit, findings: fit.findings };
}

function withFinding({
  result,
  code,
  what,
  range,
  advice,
}: {
  readonly result: StickoutFit;
  readonly code: string;
  readonly what: string;
  readonly range: Interval;
  readonly advice: string;
}): StickoutFit {
  const message = `${what} between ${significant(range.lower)} and ${significant(range.upper)}: the readings do not show the expected sign`;
  return { ...result, findings: [...result.findings, { code, severity: "warning", message, advice }] };
}
