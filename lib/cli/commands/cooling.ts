import type { Command } from "commander";
import { type Finding, onlyDefined } from "../../errors/index.js";
import {
  type CoolingCourse,
  type CoolingSlip,
  coolingCourse,
  type DecayFit,
  type Dwell,
  dwellTo,
  type FittedDecay,
  fitCooling,
  fitHeightLaw,
  type HeightLaw,
  timeConstantAt,
  type UnbegunCourse,
} from "../../models/index.js";
import { fixed, levelPercent, significant } from "../../numeric/index.js";
import { dwellTime } from "../../process/index.js";
import { answer } from "../answer.js";
import { coolingLog, type LoggedCurve, oddReadings } from "../cooling-log.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import { type CommandIo, ExitStatus } from "../io.js";
import { quantityIn } from "../options.js";
import { findingsText, limitsText, textTable } from "../text.js";

interface CoolingOptions extends DecimalOptions {
  readonly surroundings?: number;
  readonly to?: number;
  readonly height?: number;
  readonly json?: boolean;
}

/** One curve of the file, and what it tells. */
interface CurveResult {
  readonly name: string;
  /** mm. */
  readonly height?: number;
  /** Read, of which the slips are left out of all that follows. */
  readonly readings: number;
  readonly slips: readonly CoolingSlip[];
  /** degC. */
  readonly hottest: number;
  readonly coolest: number;
  /** One exponential. */
  readonly fit: DecayFit;
  /** Averaged over the laws the readings leave possible. */
  readonly course: CoolingCourse | UnbegunCourse;
  readonly dwell?: Dwell;
}

/** What the law over height gives for a wall that was not logged. */
interface HeightResult {
  readonly height: number;
  readonly timeConstant: ReturnType<typeof timeConstantAt>;
  /** s; with the arc-off temperature and surroundings of the logged curve nearest in height. */
  readonly dwell?: { readonly estimate: number; readonly lower: number; readonly upper: number };
}

export function define(command: Command, io: CommandIo): void {
  command
    .option(
      "--surroundings <temperature>",
      "temperature of the air around the part, when measured",
      quantityIn("degC"),
    )
    .option("--to <temperature>", "interpass temperature to wait for", quantityIn("degC"))
    .option("--height <length>", "height of wall to say it for, from curves at several", quantityIn("mm"))
    .addOption(new DecimalOption())
    .action(async (file: string, options: CoolingOptions) => {
      const source = { file, decimal: options.decimal };
      const logged = coolingLog(await readText(io, file), source, options.surroundings);
      const curves = logged.map((curve) => curveResult(curve, options.to));
      const law = heightLaw(curves, options.height !== undefined);
      const odd = logged.flatMap((curve) => oddReadings(curve, file));
      const wanted =
        options.height === undefined || law === undefined
          ? undefined
          : atHeight({ curves, law, height: options.height, to: options.to });
      answer({
        io,
        options,
        result: { curves: curves.map(briefly), law, wanted },
        text: () => coolingText(curves, options, { law, wanted, odd }),
      });
      if (curves.every(({ fit, course }) => fit.status !== "converged" && course.status !== "cooling"))
        throw new ExitStatus(1);
    });
}

function curveResult(curve: LoggedCurve, to: number | undefined): CurveResult {
  const { name, height, readings, slips, surroundings } = curve;
  const known = onlyDefined({ surroundings });
  const course = coolingCourse(readings, { ...known, slips: "kept" });
  const temperatures = readings.map(({ temperature }) => temperature);
  return {
    name,
    ...onlyDefined({ height }),
    readings: readings.length + slips.length,
    slips,
    hottest: temperatures.reduce((a, b) => Math.max(a, b)),
    coolest: temperatures.reduce((a, b) => Math.min(a, b)),
    fit: fitCooling(readings, known),
    course,
    ...(to === undefined || course.status !== "cooling" ? {} : { dwell: dwellTo(course, to) }),
  };
}

/** A curve for machines: without the courses drawn, which are many. */
function briefly({ course, ...curve }: CurveResult) {
  if (course.status !== "cooling") return { ...curve, course };
  const { courses: _, slips: __, readings, before, ...told } = course;
  return { ...curve, course: { ...told, used: readings.time.length, leftOut: before.time.length } };
}

type FittedCurve = CurveResult & { readonly height: number; readonly fit: FittedDecay };

/** Curves whose time constant a law over height may rest on: it has limits, and the fall had begun. */
const fittedAtHeights = (curves: readonly CurveResult[]): readonly FittedCurve[] =>
  curves.filter(
    (curve): curve is FittedCurve =>
      curve.height !== undefined &&
      curve.course.status === "cooling" &&
      curve.fit.status === "converged" &&
      curve.fit.timeConstant.lower !== null &&
      curve.fit.timeConstant.upper !== null,
  );

/** Curves at several heights, some of which tell no time constant to rest a law on. */
function leftOutOfLaw(curves: readonly CurveResult[]): readonly Finding[] {
  const fitted: readonly CurveResult[] = fittedAtHeights(curves);
  const left = curves.filter((curve) => curve.height !== undefined && !fitted.includes(curve));
  if (left.length === 0 || new Set(curves.map(({ height }) => height)).size < 2) return [];
  return [
    {
      code: "curve-left-out-of-height-law",
      severity: "warning",
      message: `${left.map(({ name }) => name).join(", ")}: left out of the law over height, as ${left.length === 1 ? "its" : "their"} readings set no limits to a time constant`,
      advice: "check these readings, or log these curves again",
    },
  ];
}

/** The law over height where the curves can give one; asked for by name, it says what is missing. */
function heightLaw(curves: readonly CurveResult[], wanted: boolean): HeightLaw | undefined {
  const points = fittedAtHeights(curves).map(({ height, fit }) => ({
    height,
    timeConstant: fit.timeConstant.estimate,
  }));
  const enough = points.length >= 3 && new Set(points.map(({ height }) => height)).size >= 2;
  return enough || wanted ? fitHeightLaw(points) : undefined;
}

function atHeight({
  curves,
  law,
  height,
  to,
}: {
  readonly curves: readonly CurveResult[];
  readonly law: HeightLaw;
  readonly height: number;
  readonly to: number | undefined;
}): HeightResult {
  const timeConstant = timeConstantAt(law, height);
  if (to === undefined) return { height, timeConstant };
  const nearest = fittedAtHeights(curves).reduce((a, b) =>
    Math.abs(b.height - height) < Math.abs(a.height - height) ? b : a,
  );
  const wait = (tau: number): number =>
    dwellTime({
      from: nearest.fit.start.estimate,
      to,
      surroundings: nearest.fit.floor.estimate,
      timeConstant: tau,
    });
  const { estimate, lower, upper } = timeConstant;
  return {
    height,
    timeConstant,
    dwell: { estimate: wait(estimate), lower: wait(lower), upper: wait(upper) },
  };
}

function coolingText(
  curves: readonly CurveResult[],
  { to }: CoolingOptions,
  {
    law,
    wanted,
    odd,
  }: {
    readonly law: HeightLaw | undefined;
    readonly wanted: HeightResult | undefined;
    readonly odd: readonly Finding[];
  },
): string {
  const findings = [
    ...odd,
    ...together(
      curves.map(({ name, fit, course, dwell }) => ({
        name,
        findings: [...course.findings, ...fitFindings(fit, course), ...(dwell?.findings ?? [])],
      })),
    ),
    ...leftOutOfLaw(curves),
    ...(law?.findings ?? []),
  ];
  const right = (title: string) => ({ title, align: "right" as const });
  const columns = [
    { title: "curve" },
    right("readings"),
    right("from .. to [degC]"),
    right("cools towards [degC]"),
    right("time constant [s]"),
    ...(to === undefined ? [] : [right(`dwell to ${significant(to)} degC [s]`), right("safe dwell [s]")]),
  ];
  const rows = curves.map(({ name, readings, slips, hottest, coolest, fit, course, dwell }) => [
    name,
    slips.length === 0 ? String(readings) : `${readings - slips.length} of ${readings}`,
    `${fixed(hottest, 0)} .. ${fixed(coolest, 0)}`,
    floorText(fit, course),
    fit.status !== "converged" ? "-" : limitsText(fit.timeConstant),
    ...(to === undefined ? [] : dwell === undefined ? ["-", "-"] : [limitsText(dwell), safeText(dwell)]),
  ]);
  return [
    textTable(columns, rows),
    "\nIn brackets 95 % limits, for the curve that was logged. The time constant is that of one exponential; the dwell allows\nfor heat that runs into the wall, is radiated, or is held by a hot base.\n",
    law === undefined
      ? ""
      : `Time constant grows with height to the power ${limitsText(law.exponent)}, from ${significant(law.heights[0])} to ${significant(law.heights[1])} mm.\n`,
    wanted === undefined
      ? ""
      : `At ${significant(wanted.height)} mm${wanted.timeConstant.extrapolated ? " (beyond the heights logged)" : ""}: time constant ${limitsText(wanted.timeConstant)} s${wanted.dwell === undefined ? "" : `, dwell ${limitsText(wanted.dwell)} s`}, limits for the next curve (${levelPercent(law!.exponent.level)}).\n`,
    findings.length === 0 ? "" : `\n${findingsText(findings)}`,
    "\nAn estimate from one place on the part: check the temperature before each layer, above all as the wall grows.\n",
  ].join("");
}

function floorText(fit: DecayFit, course: CoolingCourse | UnbegunCourse): string {
  if (fit.status === "converged" && fit.form.floor !== undefined)
    return `${significant(fit.form.floor)} (given)`;
  if (course.status !== "cooling") return "-";
  const { floor } = course;
  return floor.told ? limitsText(floor) : `${fixed(floor.lower, 0)} to ${fixed(floor.upper, 0)}, not told`;
}

/** Findings of several curves, one of each code: the first curve's words, and how many more they hold for. */
function together(
  curves: readonly { readonly name: string; readonly findings: readonly Finding[] }[],
): readonly Finding[] {
  const all = curves.flatMap(({ name, findings }) => findings.map((finding) => ({ name, finding })));
  const first = all.filter(
    ({ finding }, i) => all.findIndex((other) => other.finding.code === finding.code) === i,
  );
  return first.map(({ name, finding }) => {
    const alike = all.filter((other) => other.finding.code === finding.code).length - 1;
    const others = alike === 0 ? "" : `, and ${alike} more alike`;
    return curves.length === 1 ? finding : { ...finding, message: `${name}${others}: ${finding.message}` };
  });
}

/** The longer end of the range, where there is one. */
const safeText = ({ upper, reach }: Dwell): string =>
  upper !== null ? significant(upper) : reach === "never" ? "never" : "log longer";

/** What one exponential says of itself beyond what the averaged course already tells. */
function fitFindings(fit: DecayFit, course: CoolingCourse | UnbegunCourse): readonly Finding[] {
  const told = new Set(course.findings.map(({ code }) => code));
  // The averaged course has its own word on the floor, and allows for errors that last.
  const covered =
    course.status === "cooling" ? ["floor-not-told", "readings-wander", "no-decay", "decay-not-told"] : [];
  return fit.findings.filter(({ code }) => !told.has(code) && !covered.includes(code));
}
