import { createHash } from "node:crypto";
import { resolve } from "node:path";
import { onlyDefined, ownValue } from "../errors/index.js";
import { brief } from "../numeric/index.js";
import { verdictWord } from "../study/definition/index.js";
import { type Coupon, cellOf, type Entry, resultOf, type Study } from "../study/index.js";
import { dayBlocks, dayOfLogging } from "../study/record/index.js";
import { withUnit } from "../units/index.js";
import type { ForeseenCoupon } from "../window/index.js";
import {
  factorColumns,
  label,
  measuredColumns,
  readingsOf,
  settingsShown,
  verdictColumns,
} from "./columns.js";
import type { Foresight } from "./foresight.js";
import { changeChoices, incidentChoices } from "./usual-events.js";
import type { BenchBlock, BenchCoupon, BenchDay } from "./wire/index.js";

/** Logged coupons the page lists, the latest first. */
const SHOWN = 12;

/** What tells a study from others served at the same address, without telling where it lies. */
export function homeOf(folder: string): string {
  return createHash("sha256").update(resolve(folder)).digest("hex").slice(0, 16);
}

/** A study as the page at the bench needs it. */
export function benchDay(study: Study, foresight: Foresight, now: Date): BenchDay {
  const planned = study.coupons.filter(({ state }) => state === "planned");
  const logged = study.coupons
    .filter(({ state }) => state === "logged")
    .sort((a, b) => b.seq - a.seq)
    .slice(0, SHOWN);
  const whole = planned.filter(({ settings }) =>
    study.definition.factors.every(({ name }) => ownValue(settings, name) !== undefined),
  );
  const foreseen = foresight.of(study, whole);
  const reason = typeof foreseen === "string" ? [`Nothing can be foreseen: ${foreseen}`] : [];
  const measured = measuredColumns(study);
  return {
    home: homeOf(study.folder),
    study: study.definition.name,
    revision: study.entries.at(-1)?.seq ?? 0,
    factors: factorColumns(study),
    measured,
    verdicts: verdictColumns(study),
    blocks: blocks(study, now),
    planned: planned.map((coupon) => {
      const at = whole.indexOf(coupon);
      return shownCoupon(study, coupon, typeof foreseen === "string" ? undefined : foreseen[at]);
    }),
    logged: logged.map((coupon) => shownCoupon(study, coupon, undefined)),
    incidents: incidentChoices(study),
    changes: changeChoices(study),
    remarks: [...study.integrity.map(({ message }) => message), ...reason],
  };
}

function blocks(study: Study, now: Date): readonly BenchBlock[] {
  const { definition, coupons } = study;
  const logged = coupons.filter(({ state }) => state === "logged").sort((a, b) => b.seq - a.seq);
  const told: Readonly<Record<string, string>> = dayOfLogging({ study, coupon: "", now });
  return definition.blocks.map((name) => {
    const newest = logged.find((coupon) => ownValue(coupon.blocks, name) !== undefined);
    const last = ownValue(newest?.blocks, name);
    const isNew = newest !== undefined && new Date(newest.time).toDateString() !== now.toDateString();
    const next = isNew && dayBlocks.includes(name) ? nextDay(last) : last;
    return { name, label: label(name), ...onlyDefined({ last, suggested: ownValue(told, name) ?? next }) };
  });
}

/** The day after one that is counted; nothing after another name. */
const nextDay = (last: string | undefined): string | undefined =>
  last !== undefined && /^\d+$/.test(last) ? String(Number(last) + 1) : undefined;

function shownCoupon(study: Study, coupon: Coupon, foreseen: ForeseenCoupon | undefined): BenchCoupon {
  const { id, role, blocks, notes, time } = coupon;
  const photos = study.entries.flatMap((entry) =>
    entry.kind === "attached" && entry.coupon === id ? [entry.file] : [],
  );
  const last = standingEntries(study.entries, id).at(-1);
  return {
    id,
    state: coupon.state === "planned" ? "planned" : "logged",
    settings: settingsShown(study, coupon.settings),
    blocks,
    foreseen: Object.fromEntries(
      (foreseen?.responses ?? []).map(({ response, median, lower, upper }) => [
        response,
        { median, lower, upper },
      ]),
    ),
    results: study.definition.responses.flatMap((response) => {
      const result = resultOf(coupon, response.name);
      if (result === undefined) return [];
      const cell = cellOf(result);
      const text =
        typeof cell === "boolean"
          ? verdictWord(response, cell)
          : withUnit(
              readingsOf(coupon, response.name)
                .map((value) => brief(value, 4))
                .join(", "),
              response.unit,
            );
      return [{ name: response.name, label: label(response.name), text }];
    }),
    readings: Object.fromEntries(
      measuredColumns({ ...study, coupons: [] }).map(({ name }) => [name, readingsOf(coupon, name)]),
    ),
    notes,
    photos,
    time: last?.time ?? time,
    ...onlyDefined({ role, entry: last?.seq }),
  };
}

/** The entries that logged something of a coupon and were not taken back, in their order. */
export function standingEntries(entries: readonly Entry[], coupon: string): readonly Entry[] {
  const voided = new Set(entries.flatMap((entry) => (entry.kind === "voided" ? [entry.entry] : [])));
  return entries.filter(
    (entry) => entry.kind === "logged" && entry.coupon === coupon && !voided.has(entry.seq),
  );
}
