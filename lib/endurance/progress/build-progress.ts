import { BeadbenchError, type Finding, ownValue } from "../../errors/index.js";
import { percent, significant } from "../../numeric/index.js";
import { suggestion } from "../../study/index.js";
import {
  type BuildPlan,
  type BuildRisks,
  buildRisks,
  type PlannedStandoff,
  planSupplies,
  runningAhead,
  type Supplies,
  touchRisk,
} from "../build/index.js";
import {
  type Attempt,
  attempts,
  type Counter,
  counters,
  type Running,
  type RunRecord,
} from "../record/index.js";
import { type BuildReading, lastReading, readingsOf } from "./readings.js";
import { type StandoffAhead, standoffAhead, standoffAheadFindings } from "./standoff-ahead.js";

/** Where a build stands, and what is left of it. */
export interface BuildProgress {
  readonly attempt: Attempt;
  readonly plan: BuildPlan;
  /** Layers finished and planned. */
  readonly done: number;
  readonly layers: number;
  /** Height built by the planned rises, mm; null where no rise was planned. */
  readonly height: number | null;
  /** Left to do, without stops: h of clock and of arc, m of wire, L of gas. */
  readonly left: {
    readonly time: number;
    readonly arcTime: number;
    readonly wire: number;
    readonly gas: number;
  };
  /** Arc time logged over planned so far; 1 while nothing was logged. */
  readonly pace: number;
  readonly risks: BuildRisks;
  /** L in the cylinder, where a pressure was read. */
  readonly gasInCylinder: number | null;
  readonly standoff: readonly BuildReading[];
  /** Where it goes from here by these readings; null where they are too few or no rise is planned. */
  readonly standoffAhead: StandoffAhead | null;
  readonly counters: readonly Counter[];
  readonly findings: readonly Finding[];
}

/**
 * Follows a build: what is left of time, gas, wire and risk after the layers logged, and what to watch. The arc time
 * logged so far corrects the pace of what is left.
 *
 * Readings looked for in the log: those of `followedReadings`. A finished build has nothing ahead.
 *
 * @param gasContent - L usable in the cylinder in place at a pressure in bar; null where that tells nothing
 * @throws {BeadbenchError} `bad-argument` where there is no such build
 */
export function buildProgress(
  study: RunRecord,
  plan: BuildPlan,
  { build, gasContent }: { readonly build: string; readonly gasContent: (pressure: number) => number | null },
): BuildProgress {
  const attempt = requireAttempt(study, build);
  const supplies = planSupplies(plan);
  const done = Math.min(attempt.layers, supplies.layers.length);
  const before = sumOf(supplies, 0, done);
  const rest = sumOf(supplies, done, supplies.layers.length);
  const planned = before.arcTime;
  const logged = attempt.run.arc_time;
  const pace = logged === undefined || planned <= 0 ? 1 : logged / planned;
  const left = { ...rest, time: rest.time + (pace - 1) * rest.arcTime, arcTime: pace * rest.arcTime };
  const risks = buildRisks(study, {
    ahead: runningAhead(plan, supplies),
    stopTime: plan.assumptions.stop_time.value,
    touch: touchRisk(plan, done),
    under: { build, run: { ...plannedRunning(supplies, done), ...attempt.run, layers: done } },
  });
  const pressure = lastReading(attempt, "cylinder_pressure");
  const gasInCylinder = pressure === undefined ? null : gasContent(pressure.value);
  const standoff = readingsOf(attempt, "standoff");
  const open = attempt.state === "running" || attempt.state === "paused";
  const ahead = open
    ? standoffAhead(plan, {
        read: standoff,
        set: readingsOf(attempt, "standoff_set"),
        seed: study.definition.seed,
      })
    : null;
  const due = counters(study);
  return {
    attempt,
    plan,
    done,
    layers: supplies.layers.length,
    height: heightOf(plan, done),
    left,
    pace,
    risks,
    gasInCylinder,
    standoff,
    standoffAhead: ahead,
    counters: due,
    findings: [
      ...standoffFindings(plan, standoff.at(-1)),
      ...standoffAheadFindings(ahead, plan.held?.touch),
      ...temperatureFindings(plan, lastReading(attempt, "interpass_temperature")),
      ...gasFindings(gasInCylinder, left.gas),
      ...dueFindings(due, left),
      ...paceFindings(pace, done),
    ],
  };
}

/** The build of a name. */
export function requireAttempt(study: Pick<RunRecord, "buildSteps" | "incidents">, build: string): Attempt {
  const all = attempts(study);
  const found = all.find((attempt) => attempt.build === build);
  if (found !== undefined) return found;
  const names = all.map((attempt) => attempt.build);
  throw new BeadbenchError(
    "bad-argument",
    `there is no build ${build}${suggestion(build, names)}${names.length === 0 ? "; start one with --start" : ""}`,
  );
}

/** Running of the first layers as planned: what is logged where nobody counts. */
export function plannedRunning(supplies: Supplies, layers: number): Running {
  const sum = sumOf(supplies, 0, layers);
  const first = supplies.layers.slice(0, layers);
  return {
    starts: first.reduce((total, { starts }) => total + starts, 0),
    arc_time: sum.arcTime,
    machine_time: sum.time,
    wire: sum.wire,
    gas: sum.gas,
  };
}

function sumOf(supplies: Supplies, from: number, to: number): BuildProgress["left"] {
  const part = supplies.layers.slice(from, to);
  return {
    time: part.reduce((sum, { time }) => sum + time, 0) / 3600,
    arcTime: part.reduce((sum, { arcTime }) => sum + arcTime, 0) / 3600,
    wire: part.reduce((sum, { wire }) => sum + wire, 0),
    gas: part.reduce((sum, { gas }) => sum + gas, 0),
  };
}

function heightOf(plan: BuildPlan, done: number): number | null {
  let sum = 0;
  for (let layer = 2; layer <= done + 1; layer++) {
    const rise = ownValue(plan.perLayer, String(layer))?.rise ?? plan.rise;
    if (rise === undefined) return null;
    sum += rise;
  }
  return sum;
}

function standoffFindings(plan: BuildPlan, last: BuildReading | undefined): readonly Finding[] {
  if (last === undefined) return [];
  const band = standoffBand(plan, last.layer);
  if (band === undefined || (last.value >= band.low && last.value <= band.high)) return [];
  const side = last.value < band.low ? "below" : "above";
  return [
    {
      code: "standoff-outside",
      severity: "warning",
      message: `the stand-off read after layer ${last.layer}, ${significant(last.value)} mm, lies ${side} its band of ${significant(band.low)} to ${significant(band.high)} mm`,
      advice: `stop at the end of this layer, find out why, and set it to ${significant(band.expected)} mm before going on`,
    },
  ];
}

/** Where a stand-off read after a layer may lie. */
function standoffBand({ standoff, perLayer }: BuildPlan, layer: number): PlannedStandoff | undefined {
  const of = (wanted: number) => standoff.find((band) => band.layer === wanted);
  // What is read after a layer is where the next one begins.
  const next = of(layer + 1) ?? standoff.at(-1);
  const before = ownValue(perLayer, String(layer + 1))?.relevel === true ? of(layer) : undefined;
  if (next === undefined || before === undefined) return next;
  // The next layer is levelled first: read before that, the drift since the last levelling is still in it.
  return { ...next, low: Math.min(before.low, next.low), high: Math.max(before.high, next.high) };
}

/** Hotter than planned by this much and the next beads are wider and lower, K. Common practice, no source. */
const HOTTER = 50;

function temperatureFindings(plan: BuildPlan, last: BuildReading | undefined): readonly Finding[] {
  const planned =
    last === undefined ? undefined : ownValue(plan.perLayer, String(last.layer + 1))?.temperature;
  if (last === undefined || planned === undefined || last.value <= planned + HOTTER) return [];
  return [
    {
      code: "hotter-than-planned",
      severity: "warning",
      message: `${significant(last.value)} degC before layer ${last.layer + 1}, planned were ${significant(planned)} degC`,
      advice: "wait longer between layers, or lower the current: hot layers slump and grow less",
    },
  ];
}

function gasFindings(inCylinder: number | null, needed: number): readonly Finding[] {
  if (inCylinder === null || inCylinder >= 1.1 * needed) return [];
  return [
    {
      code: "gas-runs-out",
      severity: "warning",
      message: `${significant(inCylinder)} L usable in the cylinder, ${significant(needed)} L still needed`,
      advice: "have the next one ready, and change it between layers before the pressure falls",
    },
  ];
}

function dueFindings(list: readonly Counter[], left: BuildProgress["left"]): readonly Finding[] {
  return list.flatMap(({ what, life }): Finding[] => {
    if (life === undefined) return [];
    const ahead = { arc_time: left.arcTime, wire: left.wire, gas: left.gas }[life.kind as "arc_time"];
    if (ahead === undefined || life.left >= ahead) return [];
    const share = Math.max(0, life.left) / ahead;
    return [
      {
        code: "due-before-end",
        severity: life.left <= 0 ? "warning" : "info",
        message:
          life.left <= 0
            ? `${what} is due: ${percent(life.used / life.value)} of its life is used`
            : `${what} is due after ${percent(share)} of what is left`,
        advice: "change it at the end of a layer, not when it fails",
      },
    ];
  });
}

function paceFindings(pace: number, done: number): readonly Finding[] {
  if (done < 3 || Math.abs(pace - 1) < 0.1) return [];
  return [
    {
      code: "pace-differs",
      severity: "info",
      message: `the arc has run ${percent(pace)} of the time planned for ${done} layers; what is left is counted at that pace`,
      advice: "check the travel speed and the path length if you do not know why",
    },
  ];
}
