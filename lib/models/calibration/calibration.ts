import { BeadbenchError, type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { fixed, significant } from "../../numeric/index.js";
import { fitLinear, type Interval, type LinearFit, linearModel, predict } from "../../regression/index.js";
import { coefficientIntervals } from "../coefficient-intervals.js";
import { requireReadings } from "../require-readings.js";

/** One calibration of a feeder, an axis or a current meter: what was set, and what a reference measured. */
export interface CalibrationRecord {
  /** ISO 8601 date, such as 2025-03-14. */
  readonly date: string;
  readonly points: readonly { readonly set: number; readonly measured: number }[];
}

/** measured = offset + gain set. */
export interface CalibrationLine {
  readonly date: string;
  readonly offset: number;
  readonly gain: number;
  readonly fit: LinearFit;
  readonly findings: readonly Finding[];
}

/**
 * Line from set to true value: time a measured length of wire or path, or read a reference meter, at three
 * settings or more.
 *
 * @throws {BeadbenchError} `not-enough-data` below three points, `bad-argument` for a date that is none
 */
export function fitCalibration(record: CalibrationRecord): CalibrationLine {
  dayOf(record.date);
  requireReadings(`the calibration line of ${record.date}`, record.points.length, 3);
  if (new Set(record.points.map(({ set }) => set)).size < 2) {
    throw new BeadbenchError(
      "not-enough-data",
      `all points of ${record.date} are at one setting: a line takes two settings, better three`,
    );
  }
  const fit = fitLinear(
    { x: record.points.map(({ set }) => [1, set]), y: record.points.map(({ measured }) => measured) },
    { names: ["offset", "gain"] },
  );
  return {
    date: record.date,
    offset: fit.estimates[0]!,
    gain: fit.estimates[1]!,
    fit,
    findings: [...fit.findings, ...gainFindings(record.date, fit.estimates[1]!)],
  };
}

/** A gain far from 1 is seldom the rig's. */
function gainFindings(date: string, gain: number): readonly Finding[] {
  if (gain >= 0.5 && gain <= 2) return [];
  return [
    {
      code: "gain-unusual",
      severity: "warning",
      message: `on ${date} the true value changes ${significant(gain)} times as much as the setting`,
      advice:
        gain > 0
          ? "look for a slip of unit (60: per minute and per second, 25.4: inches and mm), unless the dial has steps of its own"
          : "check that set and measured values are in their columns and in the same order",
    },
  ];
}

/**
 * True value at a setting, with the interval of the line there; a single reading scatters more.
 *
 * @param set - setting, in the unit the calibration was made in
 * @returns in the unit of the calibration
 * @throws {BeadbenchError} `bad-argument` for a setting that is not finite
 */
export function trueValue(line: CalibrationLine, set: number, level = 0.95): Interval {
  const [at] = predict({
    fit: line.fit,
    model: linearModel(line.fit.parameters),
    x: [[1, requireNumber("setting", set)]],
    level,
  });
  return {
    name: "true value",
    estimate: at!.mean,
    lower: at!.confidence.lower,
    upper: at!.confidence.upper,
    level,
  };
}

/**
 * Setting that gives a wanted true value, (wanted - offset) / gain; beyond the calibrated range it is a guess.
 *
 * @param wanted - true value, in the unit the calibration was made in
 * @throws {BeadbenchError} `bad-argument` where the line does not rise, so that no setting follows from it
 */
export function settingFor(line: CalibrationLine, wanted: number): number {
  requireThat(
    line.gain > 0,
    `on ${line.date} the measured value does not rise with the setting (gain ${significant(line.gain)}): no setting follows from it; check the columns set and measured`,
  );
  return (requireNumber("wanted value", wanted) - line.offset) / line.gain;
}

/** How a calibration moves with time. */
export interface CalibrationDrift {
  /** Change of the true value at the setting per 30 days, as a share of the first. */
  readonly per30Days: Interval;
  /** Day on which the change since the last calibration may exceed the tolerance; null when no drift is shown. */
  readonly due: string | null;
  readonly findings: readonly Finding[];
}

const DAY = 86_400_000;

/**
 * Drift of a calibration at one setting, from calibrations on three days or more.
 *
 * Drift is taken to be even in time; a new liner, roll or spool makes it jump instead: begin anew then.
 *
 * @param set - setting at which the drift matters
 * @param options.tolerance - share the true value may change before calibrating again. Default 0.02
 * @throws {BeadbenchError} `not-enough-data` below three calibrations
 */
export function calibrationDrift(
  records: readonly CalibrationRecord[],
  set: number,
  options: { readonly tolerance?: number; readonly level?: number } = {},
): CalibrationDrift {
  const { tolerance = 0.02, level = 0.95 } = options;
  requireNumber("tolerance (a share, 0.02 for 2 %)", tolerance, { above: 0, below: 1 });
  if (records.length < 3) {
    throw new BeadbenchError(
      "not-enough-data",
      `drift of a calibration takes at least three of them, got ${records.length}`,
    );
  }
  const sorted = [...records].sort((a, b) => dayOf(a.date) - dayOf(b.date));
  const first = dayOf(sorted[0]!.date);
  const values = sorted.map((record) => trueValue(fitCalibration(record), set).estimate);
  const fit = fitLinear(
    {
      x: sorted.map(({ date }) => [1, (dayOf(date) - first) / 30]),
      y: values.map((value) => value / values[0]!),
    },
    { names: ["start", "per30Days"] },
  );
  const slope = coefficientIntervals(fit, level).find(({ name }) => name === "per30Days");
  if (slope === undefined) {
    throw new BeadbenchError(
      "not-enough-data",
      "all calibrations are of one day: drift shows only over days",
    );
  }
  const shown = slope.lower > 0 || slope.upper < 0;
  const fastest = Math.max(Math.abs(slope.lower), Math.abs(slope.upper));
  const days = (30 * tolerance) / fastest;
  const last = dayOf(sorted.at(-1)!.date);
  return {
    per30Days: slope,
    due: shown ? new Date((last + Math.floor(days)) * DAY).toISOString().slice(0, 10) : null,
    findings: shown
      ? [
          {
            code: "calibration-drifts",
            severity: "info",
            message: `the true value at ${set} changes by ${fixed(100 * slope.estimate, 2)} % per 30 days`,
            advice: "calibrate again by the due date, and look for wear, slip or a loose shunt",
          },
        ]
      : fit.findings,
  };
}

/** Days since 1970 of an ISO date. */
function dayOf(date: string): number {
  const day = date.slice(0, 10);
  const time = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(day) : Number.NaN;
  // A day that no month has, such as 02-30, is read as one of the next month.
  if (Number.isNaN(time) || new Date(time).toISOString().slice(0, 10) !== day) {
    throw new BeadbenchError("bad-argument", `"${date}" is no date; write it as 2025-03-14`);
  }
  return time / DAY;
}
