import type { ExposureKind } from "../../study/definition/index.js";
import { exposureOfCause } from "../incidents/index.js";
import { attempts, type Running, type RunRecord, runningLedger } from "../record/index.js";
import { causeCounts, sharesOf } from "./causes-ahead.js";
import { type FinishChance, finishChance, type TriedBuild } from "./finish-model.js";
import { NO_TOUCH, type TouchRisk } from "./touch-risk.js";
import { changesBefore, riskMeasure, startOf, triedBuild } from "./tried-builds.js";

/** One cause: what of it lies ahead. */
export interface CauseAhead {
  readonly what: string;
  readonly per: ExposureKind;
  /** Seen so far on this rig, in builds and coupons, and of them how many ended the piece. */
  readonly seen: number;
  readonly fatal: number;
  /** Stops expected that the build can go on after. */
  readonly stops: number;
  /** Minutes expected to be lost to them. */
  readonly lostTime: number;
  /** Share of the risk of losing the build. */
  readonly share: number;
  /** Chance to finish if this never happened. */
  readonly without: number;
}

/** What may stop or end a build. */
export interface BuildRisks {
  /** With the risk of a touch, where the plan has bands of the stand-off. */
  readonly chance: FinishChance;
  readonly causes: readonly CauseAhead[];
  /** Expected stops and minutes lost in all. */
  readonly stops: number;
  readonly lostTime: number;
  /** Builds counted, in the order they were started. */
  readonly tried: readonly TriedBuild[];
  /** That the torch touches as the planned stand-off drifts. */
  readonly touch: TouchRisk;
}

/** Name of what was not seen yet. */
export const UNSEEN = "anything not seen yet";
/** Name of a touch by the drift that the plan itself leaves possible. */
export const PLANNED_TOUCH = "a touch as the planned stand-off drifts";

/**
 * What the incidents of a rig say of a build to come. Only builds tell how likely a build is lost: a coupon is too short.
 * The causes share that risk as they ended builds so far; one part goes by how often each lies ahead, and one is kept for
 * what has not been seen yet. Stops come from builds and coupons alike, at the rate of the whole record.
 *
 * @param ask.ahead - running of the whole build
 * @param ask.stopTime - minutes lost at a stop of which none was told
 * @param ask.under - name of the build under way, with its running so far
 * @param ask.touch - risk that the planned stand-off ends in a touch. Default none
 */
export function buildRisks(
  study: RunRecord,
  ask: {
    readonly ahead: Running;
    readonly stopTime: number;
    readonly per?: Readonly<Record<string, ExposureKind>>;
    readonly under?: { readonly build: string; readonly run: Running };
    readonly touch?: TouchRisk;
  },
): BuildRisks {
  const { ahead, stopTime, per = {}, under, touch = NO_TOUCH } = ask;
  const ledger = runningLedger(study);
  const all = attempts(study);
  const builds = all.filter(({ build }) => build !== under?.build);
  const ended = study.incidents.filter(({ outcome, build }) => outcome === "scrapped" && build !== undefined);
  const risk = riskMeasure(
    ended.map(({ what }) => exposureOfCause(what, per)),
    ahead,
  );
  const fatal = new Set(ended.map(({ what }) => what));
  const tried = builds.map((attempt) => triedBuild(attempt, { study, ledger, builds: all, fatal, risk }));
  const begun = all.find(({ build }) => build === under?.build);
  const seen = finishChance(tried, {
    from: under === undefined ? 0 : Math.min(1, risk(under.run)),
    changes: changesBefore(study, all, begun === undefined ? Number.POSITIVE_INFINITY : startOf(begun)),
  });
  const counts = causeCounts(study, {
    total: ledger.total,
    ahead,
    left: (kind) => Math.max(0, (ahead[kind] ?? 0) - (under?.run[kind] ?? 0)),
    kindOf: (what) => exposureOfCause(what, per),
    stopTime,
  });
  const shares = sharesOf(counts, ended.length);
  // A touch that the record has in it already is not counted twice.
  const hazard = -Math.log(Math.max(seen.predictive, Number.MIN_VALUE));
  const touched = counts.reduce((sum, { what }, i) => (/touch/.test(what) ? sum + shares.each[i]! : sum), 0);
  const planned = -Math.log1p(-Math.min(touch.chance, 1 - 1e-9));
  const added = Math.max(0, planned - (ended.length === 0 ? 0 : touched * hazard));
  const whole = hazard + added;
  const cause = (what: string, part: number): CauseAhead => ({
    what,
    per: "arc_time",
    seen: 0,
    fatal: 0,
    stops: 0,
    lostTime: 0,
    share: whole > 0 ? part / whole : 0,
    without: Math.exp(part - whole),
  });
  const causes: CauseAhead[] = [
    ...counts.map(({ what, kind, incidents, ended: fatal, stops, minutes }, i) => ({
      ...cause(what, hazard * shares.each[i]!),
      per: kind,
      seen: incidents,
      fatal,
      stops,
      lostTime: stops * minutes,
    })),
    cause(UNSEEN, hazard * shares.unseen),
    ...(touch.layer === null ? [] : [{ ...cause(PLANNED_TOUCH, added), per: "layers" as const }]),
  ];
  const kept = Math.exp(-added);
  return {
    chance: {
      ...seen,
      predictive: seen.predictive * kept,
      atLeast: seen.atLeast * kept,
      atMost: seen.atMost * kept,
    },
    causes: causes.sort((a, b) => b.share - a.share || b.lostTime - a.lostTime),
    stops: causes.reduce((sum, { stops }) => sum + stops, 0),
    lostTime: causes.reduce((sum, { lostTime }) => sum + lostTime, 0),
    tried,
    touch,
  };
}
