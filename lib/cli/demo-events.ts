import { readFileSync } from "node:fs";
import { join } from "node:path";
import { BeadbenchError } from "../errors/index.js";
import { appendEntries, type CorrectedBody, type EntryBody, importCsv, type Study } from "../study/index.js";

/** One line of the demo's events: a file imported, an entry logged, or a coupon corrected. */
export type DemoEvent = { readonly time: string } & (
  | { readonly import: string }
  | { readonly log: EntryBody }
  | { readonly correct: Omit<CorrectedBody, "kind" | "entry"> & { readonly coupon: string } }
);

/** Reads the demo's events, in order of time. */
export function readDemoEvents(folder: string): readonly DemoEvent[] {
  return readFileSync(join(folder, "events.jsonl"), "utf8")
    .split("\n")
    .filter((line) => line !== "")
    .map((line) => JSON.parse(line) as DemoEvent);
}

/** Plays one event into the study, stamped with its own time. */
export function playDemoEvent(study: Study, folder: string, event: DemoEvent): Study {
  const clock = (): Date => new Date(event.time);
  if ("import" in event) {
    return importCsv(study, readFileSync(join(folder, event.import)), { file: event.import, clock }).study;
  }
  if ("log" in event) return appendEntries(study, [event.log], { clock });
  const { coupon, ...change } = event.correct;
  const entry = [...study.entries]
    .reverse()
    .find(({ kind, ...e }) => kind === "logged" && "coupon" in e && e.coupon === coupon);
  if (entry === undefined)
    throw new BeadbenchError("not-found", `the demo corrects ${coupon}, which was never logged`);
  return appendEntries(study, [{ kind: "corrected", entry: entry.seq, ...change }], { clock });
}
