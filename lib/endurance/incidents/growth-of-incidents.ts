import type { ExposureKind } from "../../study/definition/index.js";
import type { Incident } from "../../study/index.js";
import {
  type ArcRun,
  arcSurvival,
  FEWEST_GROWTH_EVENTS,
  fitGrowth,
  fitWeibull,
  type GrowthFit,
  type GrowthGoodness,
  growthGoodness,
  type SurvivalStep,
  type WeibullFit,
} from "../growth/index.js";
import { attempts, type RunRecord, runningAt, runningInBuild, runningLedger } from "../record/index.js";

/** Incidents as they came over all running so far. */
export interface IncidentGrowth {
  readonly per: ExposureKind;
  /** Running at each incident, growing. */
  readonly times: readonly number[];
  readonly end: number;
  /** Null with fewer than {@link FEWEST_GROWTH_EVENTS} incidents: rates alone are told. */
  readonly growth: { readonly fit: GrowthFit; readonly goodness: GrowthGoodness } | null;
}

/**
 * Whether incidents become rarer with practice: a power-law process over the running of all coupons and builds.
 *
 * @param ask.per - running to count by
 * @param ask.which - incidents to look at. Default all
 * @param ask.confidence - of the bounds. Default 0.9
 */
export function growthOfIncidents(
  study: RunRecord,
  ask: {
    readonly per: ExposureKind;
    readonly which?: (incident: Incident) => boolean;
    readonly confidence?: number;
  },
): IncidentGrowth {
  const { per, which = () => true, confidence = 0.9 } = ask;
  const ledger = runningLedger(study);
  const end = ledger.total[per] ?? 0;
  // Before anything was run is within the first stretch that was.
  const earliest = (ledger.stretches.find(({ run }) => (run[per] ?? 0) > 0)?.run[per] ?? 0) / 2;
  const times = study.incidents
    .filter(which)
    .map((incident) => Math.min(end, Math.max(earliest, runningAt(ledger, incident)[per] ?? 0)))
    .sort((a, b) => a - b);
  const told = times.length >= FEWEST_GROWTH_EVENTS && times.some((time) => time < end);
  return {
    per,
    times,
    end,
    growth: told
      ? { fit: fitGrowth({ times, end }, confidence), goodness: growthGoodness({ times, end }) }
      : null,
  };
}

/** How long the arc of a build runs before something happens. */
export interface ArcSurvival {
  readonly runs: readonly ArcRun[];
  readonly steps: readonly SurvivalStep[];
  /** Null with fewer than four incidents in builds. */
  readonly law: WeibullFit | null;
}

const FEWEST_FAILURES = 4;

/** Arc hours of builds from a start, or from the incident before, to the next incident or to the end of the build. */
export function survivalOfBuilds(study: RunRecord): ArcSurvival {
  const ledger = runningLedger(study);
  const runs = attempts(study).flatMap(({ build, run, incidents }): ArcRun[] => {
    const end = run.arc_time;
    if (end === undefined || end <= 0) return [];
    const marks = incidents
      .map((incident) => Math.min(end, runningInBuild(ledger, incident, build).arc_time ?? 0))
      .sort((a, b) => a - b);
    const spans = [...marks, end].map((mark, i) => ({
      time: mark - (marks[i - 1] ?? 0),
      failed: i < marks.length,
    }));
    return spans.filter(({ time }) => time > 0);
  });
  const failures = new Set(runs.filter(({ failed }) => failed).map(({ time }) => time)).size;
  return {
    runs,
    steps: runs.length === 0 ? [] : arcSurvival(runs),
    law: failures >= FEWEST_FAILURES ? fitWeibull(runs) : null,
  };
}
