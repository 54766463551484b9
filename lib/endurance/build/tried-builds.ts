import type { ExposureKind } from "../../study/definition/index.js";
import { type Attempt, type Ledger, type Running, type RunRecord, runningInBuild } from "../record/index.js";
import type { TriedBuild } from "./finish-model.js";

/** Without a record, risk is taken to lie in starts, layers and arc time alike. */
export const usualKinds: readonly ExposureKind[] = ["starts", "layers", "arc_time"];

/** `seq` at which a build began. */
export const startOf = ({ steps }: Attempt): number => steps[0]!.seq;

/** Running as a share of the risk of the build to come, 1 for all of it: by what ended builds, and as is usual. */
export function riskMeasure(fatal: readonly ExposureKind[], ahead: Running): (run: Running) => number {
  const kinds = [...fatal, ...usualKinds].filter((kind) => (ahead[kind] ?? 0) > 0);
  return (run) => {
    const told = kinds.filter((kind) => run[kind] !== undefined);
    if (told.length === 0) return 0;
    return told.reduce((sum, kind) => sum + run[kind]! / ahead[kind]!, 0) / told.length;
  };
}

/**
 * Builds that began on changed equipment, up to something logged: a change of what has no life to be used up (a cup, wiring,
 * firmware), between the start of one build and of the next. What is worn and replaced changes nothing for good.
 */
export function changesBefore(study: RunRecord, builds: readonly Attempt[], seq: number): number {
  const worn = new Set(study.changes.flatMap(({ what, life }) => (life === undefined ? [] : [what])));
  const marks = study.changes.filter(({ what }) => !worn.has(what)).map((change) => change.seq);
  const starts = builds.map(startOf).filter((start) => start < seq);
  return starts.filter((start, i) =>
    marks.some((mark) => mark > start && mark < Math.min(seq, starts[i + 1] ?? seq)),
  ).length;
}

/** A build as far as it tells of the chance to finish: risk run, how it ended, its stops of causes that end builds. */
export function triedBuild(
  attempt: Attempt,
  {
    study,
    ledger,
    builds,
    fatal,
    risk,
  }: {
    readonly study: RunRecord;
    readonly ledger: Ledger;
    readonly builds: readonly Attempt[];
    readonly fatal: ReadonlySet<string>;
    readonly risk: (run: Running) => number;
  },
): TriedBuild {
  const end = attempt.incidents.find(({ outcome }) => outcome === "scrapped");
  const run = Math.max(
    risk({ ...attempt.run, layers: attempt.layers }),
    end === undefined ? 0 : risk(runningInBuild(ledger, end, attempt.build)),
  );
  return {
    run,
    lost: attempt.state === "scrapped" || end !== undefined,
    stops: attempt.incidents.filter(({ what, outcome }) => fatal.has(what) && outcome !== "scrapped").length,
    changes: changesBefore(study, builds, startOf(attempt)),
  };
}
