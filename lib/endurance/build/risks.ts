import type { ExposureKind } from "../../study/definition/index.js";
import { exposureOfCause } from "../incidents/index.js";
import {
  type Attempt,
  attempts,
  minutesOf,
  type Running,
  type RunRecord,
  runningInBuild,
  runningLedger,
} from "../record/index.js";
import { type FinishChance, finishChance, type TriedBuild } from "./finish-model.js";

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
  readonly chance: FinishChance;
  readonly causes: readonly CauseAhead[];
  /** Expected stops and minutes lost in all. */
  readonly stops: number;
  readonly lostTime: number;
  /** Builds counted, in the order they were started. */
  readonly tried: readonly TriedBuild[];
}

/** Name of what was not seen yet. */
export const UNSEEN = "anything not seen yet";

/** Without a record, risk is taken to lie in starts, layers and arc time alike. */
const usual: readonly ExposureKind[] = ["starts", "layers", "arc_time"];

/**
 * What the incidents of a rig say of a build to come. Only builds tell how likely a build is lost: a coupon is too short.
 * The causes share that risk as they shared it so far, one part kept for what has not been seen yet; stops come from
 * builds and coupons alike.
 *
 * @param ask.ahead - running of the whole build
 * @param ask.stopTime - minutes lost at a stop of which none was told
 * @param ask.under - name of the build under way, with its running so far
 */
export function buildRisks(
  study: RunRecord,
  ask: {
    readonly ahead: Running;
    readonly stopTime: number;
    readonly per?: Readonly<Record<string, ExposureKind>>;
    readonly under?: { readonly build: string; readonly run: Running };
  },
): BuildRisks {
  const { ahead, stopTime, per = {}, under } = ask;
  const ledger = runningLedger(study);
  const kindOf = (what: string): ExposureKind => exposureOfCause(what, per);
  const names = [...new Set(study.incidents.map(({ what }) => what))];
  const builds = attempts(study).filter(({ build }) => build !== under?.build);
  const fatal = study.incidents.filter(({ outcome, build }) => outcome === "scrapped" && build !== undefined);
  const risk = riskMeasure(
    fatal.map(({ what }) => kindOf(what)),
    ahead,
  );
  const tried = builds.map(
    (attempt): TriedBuild =>
      triedBuild(attempt, risk, (seq) =>
        runningInBuild(ledger, study.incidents.find((incident) => incident.seq === seq)!, attempt.build),
      ),
  );
  const from = under === undefined ? 0 : Math.min(1, risk(under.run));
  const chance = finishChance(tried, { from });
  const hazard = -Math.log(Math.max(chance.predictive, Number.MIN_VALUE));
  const left = (kind: ExposureKind): number => Math.max(0, (ahead[kind] ?? 0) - (under?.run[kind] ?? 0));
  const shareOf = (count: number): number => (count + 1 / (names.length + 1)) / (fatal.length + 1);
  const causes = names.map((what): CauseAhead => {
    // A rate needs running on record: where none of its kind was told, starts stand in, which every coupon has.
    const kind = [kindOf(what), ...usual].find((each) => (ledger.total[each] ?? 0) > 0) ?? kindOf(what);
    const seen = study.incidents.filter((incident) => incident.what === what);
    const ended = seen.filter(({ outcome }) => outcome === "scrapped").length;
    const run = ledger.total[kind] ?? 0;
    const stops = run > 0 ? ((seen.length - ended) / run) * left(kind) : 0;
    const timed = seen.filter(({ lostTime, outcome }) => lostTime !== undefined && outcome !== "scrapped");
    const each =
      timed.length === 0
        ? stopTime
        : timed.reduce((sum, { lostTime }) => sum + minutesOf(lostTime), 0) / timed.length;
    const share = shareOf(fatal.filter((incident) => incident.what === what).length);
    return {
      what,
      per: kind,
      seen: seen.length,
      fatal: ended,
      stops,
      lostTime: stops * each,
      share,
      without: Math.exp(-hazard * (1 - share)),
    };
  });
  const unseen = shareOf(0);
  const all: CauseAhead[] = [
    ...causes,
    {
      what: UNSEEN,
      per: "arc_time",
      seen: 0,
      fatal: 0,
      stops: 0,
      lostTime: 0,
      share: unseen,
      without: Math.exp(-hazard * (1 - unseen)),
    },
  ];
  return {
    chance,
    causes: all.sort((a, b) => b.share - a.share || b.lostTime - a.lostTime),
    stops: all.reduce((sum, { stops }) => sum + stops, 0),
    lostTime: all.reduce((sum, { lostTime }) => sum + lostTime, 0),
    tried,
  };
}

/** Running as a share of the risk of the build to come: 1 for all of it. */
function riskMeasure(fatal: readonly ExposureKind[], ahead: Running): (run: Running) => number {
  const kinds = [...fatal, ...usual].filter((kind) => (ahead[kind] ?? 0) > 0);
  return (run) => {
    const told = kinds.filter((kind) => run[kind] !== undefined);
    if (told.length === 0) return 0;
    return told.reduce((sum, kind) => sum + run[kind]! / ahead[kind]!, 0) / told.length;
  };
}

function triedBuild(
  attempt: Attempt,
  risk: (run: Running) => number,
  at: (seq: number) => Running,
): TriedBuild {
  const end = attempt.incidents.find(({ outcome }) => outcome === "scrapped");
  const run = Math.max(
    risk({ ...attempt.run, layers: attempt.layers }),
    end === undefined ? 0 : risk(at(end.seq)),
  );
  return { run, lost: attempt.state === "scrapped" || end !== undefined };
}
