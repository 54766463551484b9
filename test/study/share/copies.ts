import { cpSync } from "node:fs";
import { join } from "node:path";
import { refusalOf } from "../../../lib/errors/index.js";
import { appendEntries, type EntryBody, openStudy, type Study } from "../../../lib/study/index.js";
import { newFolder } from "../support.js";

/** A copy of a study's folder, as a person makes one. */
export function copyOf(folder: string): string {
  const copy = join(newFolder(), "copy");
  cpSync(folder, copy, { recursive: true });
  return copy;
}

export const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };

/** Something a person does to a study, by numbers that say which and how much. */
export interface Act {
  readonly what: "plan" | "new" | "log" | "correct" | "void" | "note" | "incident" | "change" | "build";
  readonly pick: number;
  readonly value: number;
  /** Minutes the clock moves on; a clock that is set back moves by less than 0. */
  readonly minutes: number;
}

const pickOf = <T>(items: readonly T[], pick: number): T | undefined =>
  items[pick % Math.max(1, items.length)];

function bodyOf(study: Study, { what, pick, value }: Act): EntryBody | undefined {
  const coupon = pickOf(study.coupons, pick);
  const entry = pickOf(
    study.entries.filter(({ kind }) => kind === "logged"),
    pick,
  );
  const build = pickOf(study.buildSteps, pick)?.build;
  switch (what) {
    case "plan":
      return { kind: "planned", values: { ...settings, current: 100 + (value % 40) } };
    case "new":
      return { kind: "logged", values: { ...settings, bead_width: 4 + value / 100 } };
    case "log":
      return coupon && { kind: "logged", coupon: coupon.id, values: { bead_height: 1 + value / 100 } };
    case "correct":
      return (
        entry && {
          kind: "corrected",
          entry: entry.seq,
          values: { bead_height: value / 50 },
          reason: "read anew",
        }
      );
    case "void":
      return coupon && { kind: "voided", coupon: coupon.id, reason: `fell off ${value}` };
    case "note":
      return { kind: "note", text: `note ${value}`, ...(coupon === undefined ? {} : { coupon: coupon.id }) };
    case "incident":
      return {
        kind: "incident",
        what: "wire_stuck",
        outcome: "resumed",
        note: `stuck ${value}`,
        ...(build === undefined ? {} : { build }),
      };
    case "change":
      return { kind: "change", what: "tungsten", ...(coupon === undefined ? {} : { before: coupon.id }) };
    default:
      return build === undefined || value % 2 === 0
        ? { kind: "build", build: `ring-${study.buildSteps.length}`, event: "started" }
        : { kind: "build", build, event: "progress", layer: study.buildSteps.length + value };
  }
}

/** Does what can be done of it in a copy, each at its own moment; what the record refuses is not done. */
export function act(folder: string, acts: readonly Act[], start: string): void {
  let at = new Date(start).getTime();
  let study = openStudy(folder);
  for (const one of acts) {
    at += one.minutes * 60_000;
    const body = bodyOf(study, one);
    const moment = new Date(at);
    if (body !== undefined)
      refusalOf(() => {
        study = appendEntries(study, [body], { clock: () => moment });
      });
  }
}
