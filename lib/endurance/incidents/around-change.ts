import { BeadbenchError } from "../../errors/index.js";
import type { ExposureKind } from "../../study/definition/index.js";
import type { Change, Incident } from "../../study/index.js";
import { compareRates, type RateComparison } from "../rates/index.js";
import { type Running, type RunRecord, runningAt, runningLedger, runningSince } from "../record/index.js";

/** Incidents before and after a change. */
export interface AroundChange {
  readonly change: Change;
  readonly per: ExposureKind;
  readonly before: { readonly events: number; readonly exposure: number };
  readonly after: { readonly events: number; readonly exposure: number };
  /** Null where there was no running on one side. */
  readonly comparison: RateComparison | null;
}

/**
 * Whether incidents became rarer with a change of equipment or consumable. Each change is held against the running
 * since the change of the same thing before it, and until the next one.
 *
 * A change was not drawn by lot: whatever else changed that day is in the answer too.
 *
 * @param ask.what - kind of incident; all when left out
 * @param ask.change - name of what was changed, such as cup
 * @param ask.per - running to count by
 * @throws {BeadbenchError} `bad-argument` where nothing of that name was changed
 */
export function aroundChanges(
  study: RunRecord,
  ask: {
    readonly change: string;
    readonly what?: string;
    readonly per: ExposureKind;
    readonly confidence?: number;
  },
): readonly AroundChange[] {
  const { change: name, what, per, confidence = 0.95 } = ask;
  const changes = study.changes.filter((change) => change.what === name);
  if (changes.length === 0) {
    const known = [...new Set(study.changes.map((change) => change.what))].join(", ");
    throw new BeadbenchError(
      "bad-argument",
      `no change of ${name} was logged${known === "" ? "; log one with `beadbench log --change`" : `; changed were ${known}`}`,
    );
  }
  const ledger = runningLedger(study);
  const run = (running: Running): number => running[per] ?? 0;
  const events = study.incidents
    .filter((incident) => what === undefined || incident.what === what)
    .map((incident: Incident) => run(runningAt(ledger, incident)));
  const marks = [{}, ...changes.map((change) => runningAt(ledger, change)), ledger.total];
  return changes.map((change, i) => {
    const side = (from: Running, to: Running): { readonly events: number; readonly exposure: number } => ({
      // An incident at the very mark belongs before it: it is often why the change was made.
      events: events.filter((at) => (at > run(from) || (run(from) === 0 && at === 0)) && at <= run(to))
        .length,
      exposure: run(runningSince(to, from)),
    });
    const before = side(marks[i]!, marks[i + 1]!);
    const after = side(marks[i + 1]!, marks[i + 2]!);
    const known = before.exposure > 0 && after.exposure > 0;
    return { change, per, before, after, comparison: known ? compareRates(before, after, confidence) : null };
  });
}
