import type { ExposureKind } from "../../study/definition/index.js";
import type { Incident } from "../../study/index.js";
import { minutesOf, type Running, type RunRecord } from "../record/index.js";
import { usualKinds } from "./tried-builds.js";

/** A kind of incident as far as it was seen, and how often it lies ahead. */
export interface CauseCount {
  readonly what: string;
  readonly kind: ExposureKind;
  readonly incidents: number;
  /** Of them, those that ended the piece. */
  readonly ended: number;
  /** Of them, those that ended a build. */
  readonly endedBuilds: number;
  /** Stops expected in what is left of the build, and minutes each. */
  readonly stops: number;
  readonly minutes: number;
  /** Incidents expected in a whole build, of either outcome. */
  readonly ahead: number;
}

/** Every kind of incident on record. */
export function causeCounts(
  study: RunRecord,
  ask: {
    /** All run on the rig so far, what the whole build runs, and what of it is left. */
    readonly total: Running;
    readonly ahead: Running;
    readonly left: (kind: ExposureKind) => number;
    readonly kindOf: (what: string) => ExposureKind;
    readonly stopTime: number;
  },
): readonly CauseCount[] {
  const { total, ahead, left, kindOf, stopTime } = ask;
  return [...new Set(study.incidents.map(({ what }) => what))].map((what): CauseCount => {
    // A rate needs running on record: where none of its kind was told, starts stand in, which every coupon has.
    const kind = [kindOf(what), ...usualKinds].find((each) => (total[each] ?? 0) > 0) ?? kindOf(what);
    const seen = study.incidents.filter((incident) => incident.what === what);
    const run = total[kind] ?? 0;
    const perIncident = run > 0 ? 1 / run : 0;
    const timed = seen.filter(({ lostTime, outcome }) => lostTime !== undefined && outcome !== "scrapped");
    return {
      what,
      kind,
      incidents: seen.length,
      ended: endedBy(seen),
      endedBuilds: endedBy(seen.filter(({ build }) => build !== undefined)),
      stops: (seen.length - endedBy(seen)) * perIncident * left(kind),
      minutes:
        timed.length === 0
          ? stopTime
          : timed.reduce((sum, { lostTime }) => sum + minutesOf(lostTime), 0) / timed.length,
      ahead: seen.length * perIncident * (ahead[kind] ?? 0),
    };
  });
}

const endedBy = (incidents: readonly Incident[]): number =>
  incidents.filter(({ outcome }) => outcome === "scrapped").length;

/**
 * How the causes share the risk of losing a build: as they ended builds so far, and one loss more, of which what was never
 * seen gets an equal part and the causes the rest by how often each lies ahead.
 */
export function sharesOf(
  counts: readonly CauseCount[],
  ended: number,
): { readonly each: readonly number[]; readonly unseen: number } {
  const ahead = counts.reduce((sum, count) => sum + count.ahead, 0);
  const seen = ahead > 0 ? counts.length / (counts.length + 1) : 0;
  return {
    each: counts.map(
      (count) => (count.endedBuilds + (ahead > 0 ? (seen * count.ahead) / ahead : 0)) / (ended + 1),
    ),
    unseen: (1 - seen) / (ended + 1),
  };
}
