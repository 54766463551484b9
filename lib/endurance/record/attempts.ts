import type { BuildBody, BuildStep, Incident } from "../../study/index.js";
import { convert } from "../../units/index.js";
import type { RunRecord } from "./ledger.js";
import { type Running, runningOf } from "./running.js";

/** One build as far as it was logged. */
export interface Attempt {
  readonly build: string;
  /** RFC 3339. */
  readonly started: string;
  /** Of the last thing logged of it. */
  readonly last: string;
  readonly state: "running" | "paused" | NonNullable<BuildBody["outcome"]>;
  /** Finished. */
  readonly layers: number;
  readonly run: Running;
  readonly incidents: readonly Incident[];
  /** Minutes lost to incidents, where they were told. */
  readonly lostTime: number;
  readonly steps: readonly BuildStep[];
}

/** The builds of a study, in the order they were started. */
export function attempts({
  buildSteps,
  incidents,
}: Pick<RunRecord, "buildSteps" | "incidents">): readonly Attempt[] {
  const names = [...new Set(buildSteps.map(({ build }) => build))];
  return names.map((build) => {
    const steps = buildSteps.filter((step) => step.build === build);
    const within = incidents.filter((incident) => incident.build === build);
    const end = steps.findLast(({ event }) => event === "ended");
    const halted = steps.findLast(({ event }) => event === "paused" || event === "resumed");
    return {
      build,
      started: steps[0]!.time,
      last: steps.at(-1)!.time,
      state: end?.outcome ?? (halted?.event === "paused" ? "paused" : "running"),
      layers: steps.findLast(({ layer }) => layer !== undefined)?.layer ?? 0,
      run: Object.assign({}, ...steps.map(({ exposure }) => runningOf(exposure))),
      incidents: within,
      lostTime: within.reduce((sum, { lostTime }) => sum + minutesOf(lostTime), 0),
      steps,
    };
  });
}

/** Minutes of a lost time; 0 where it was not told. */
export function minutesOf(lostTime: Incident["lostTime"]): number {
  return lostTime === undefined ? 0 : convert(lostTime.value, lostTime.unit, "min");
}
