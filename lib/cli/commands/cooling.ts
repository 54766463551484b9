import type { Command } from "commander";
import { type Finding, requireNumber } from "../../errors/index.js";
import {
  type CoolingReading,
  type DecayFit,
  type Dwell,
  dwellTo,
  type FittedDecay,
  fitCooling,
  fitHeightLaw,
  type HeightLaw,
  timeConstantAt,
} from "../../models/index.js";
import { levelPercent, significant } from "../../numeric/index.js";
import { dwellTime, requireSetting } from "../../process/index.js";
import { readTable } from "../../study/index.js";
import { answer } from "../answer.js";
import { readText } from "../files.js";
import { type CommandIo, ExitStatus } from "../io.js";
import { quantityIn } from "../options.js";
import { findingsText, limitsText, textTable } from "../text.js";

interface CoolingOptions {
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
  readonly readings: number;
  readonly fit: DecayFit;
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
    .option("--surroundings <temperature>", "what the part cools towards, when measured", quantityIn("degC"))
    .option("--to <temperature>", "interpass temperature to wait for", quantityIn("degC"))
    .option("--height <length>", "height of wall to say it for, from curves at several", quantityIn("mm"))
    .action(async (file: string, options: CoolingOptions) => {
      const curves = coolingCurves(await readText(io, file), file).map(
        ({ readings, ...curve }): CurveResult => {
          const { surroundings, to } = options;
          const fit = fitCooling(readings, surroundings === undefined ? {} : { surroundings });
          const dwell = to === undefined || fit.status !== "converged" ? undefined : dwellTo(fit, to);
          return { ...curve, readings: readings.length, fit, ...(dwell === undefined ? {} : { dwell }) };
        },
      );
      const law = heightLaw(curves, options.height !== undefined);
      const wanted =
        options.height === undefined || law === undefined
          ? undefined
          : atHeight(curves, law, options.height, options.to);
      answer(io, options, { curves, law, wanted }, () => coolingText(curves, options, law, wanted));
      if (curves.every(({ fit }) => fit.status !== "converged")) throw new ExitStatus(1);
    });
}

function coolingCurves(text: string, file: string) {
  const rows = readTable(
    text,
    [
      { name: "time", unit: "s", check: (time) => requireNumber("time", time, { min: 0, unit: "s" }) },
      { name: "temperature", unit: "degC", check: (value) => requireSetting("temperature", value) },
      { name: "curve", unit: "text", optional: true },
      { name: "height", unit: "mm", optional: true },
    ],
    file,
  );
  const curves = new Map<string, { name: string; height?: number; readings: CoolingReading[] }>();
  for (const { time, temperature, curve, height } of rows) {
    const at = height === undefined ? "" : `${Number(height)} mm`;
    const name =
      [curve, at].filter((part) => part !== undefined && part !== "").join(" at ") || "all readings";
    const found = curves.get(name) ?? {
      name,
      ...(height === undefined ? {} : { height: Number(height) }),
      readings: [],
    };
    found.readings.push({ time: Number(time), temperature: Number(temperature) });
    curves.set(name, found);
  }
  return [...curves.values()];
}

type FittedCurve = CurveResult & { readonly height: number; readonly fit: FittedDecay };

const fittedAtHeights = (curves: readonly CurveResult[]): readonly FittedCurve[] =>
  curves.filter(
    (curve): curve is FittedCurve => curve.height !== undefined && curve.fit.status === "converged",
  );

/** The law over height where the curves can give one; asked for by name, it says what is missing. */
function heightLaw(curves: readonly CurveResult[], wanted: boolean): HeightLaw | undefined {
  const points = fittedAtHeights(curves).map(({ height, fit }) => ({
    height,
    timeConstant: fit.timeConstant.estimate,
  }));
  const enough = points.length >= 3 && new Set(points.map(({ height }) => height)).size >= 2;
  return enough || wanted ? fitHeightLaw(points) : undefined;
}

function atHeight(
  curves: readonly CurveResult[],
  law: HeightLaw,
  height: number,
  to: number | undefined,
): HeightResult {
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
  law: HeightLaw | undefined,
  wanted: HeightResult | undefined,
): string {
  const named = (name: string, findings: readonly Finding[]): readonly Finding[] =>
    curves.length === 1
      ? findings
      : findings.map((finding) => ({ ...finding, message: `${name}: ${finding.message}` }));
  const findings = [
    ...curves.flatMap(({ name, fit, dwell }) => named(name, [...fit.findings, ...(dwell?.findings ?? [])])),
    ...(law?.findings ?? []),
  ];
  const right = (title: string) => ({ title, align: "right" as const });
  const columns = [
    { title: "curve" },
    right("readings"),
    right("at arc-off [degC]"),
    right("surroundings [degC]"),
    right("time constant [s]"),
    ...(to === undefined ? [] : [right(`dwell to ${significant(to)} degC [s]`)]),
  ];
  const rows = curves.map(({ name, readings, fit, dwell }) => {
    if (fit.status !== "converged") return [name, String(readings), "-", "-", "-", "-"];
    const given = fit.form.floor !== undefined;
    return [
      name,
      String(readings),
      limitsText(fit.start),
      given ? `${significant(fit.form.floor!)} (given)` : limitsText(fit.floor),
      limitsText(fit.timeConstant),
      ...(dwell === undefined ? [] : [limitsText(dwell)]),
    ];
  });
  return [
    textTable(columns, rows),
    "\nIn brackets 95 % limits, for the curve that was logged.\n",
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
