import { ownValue } from "../../errors/index.js";
import { median, type RandomStream, randomStream } from "../../numeric/index.js";
import type { Incident, StudyData } from "../../study/index.js";
import { couponsToTell } from "./coupons-to-tell.js";

/** How an incident goes with one factor. */
export interface IncidentSetting {
  readonly factor: string;
  readonly unit: string;
  /** Median setting of the coupons with it and without. */
  readonly with: number;
  readonly without: number;
  /** Where the coupons with it lie among all: 0 all below the others, 1 all above. */
  readonly place: number;
  /** Two-sided, by shuffling which coupons had it. */
  readonly p: number;
  /** The same, for having looked at several factors (Holm). */
  readonly adjusted: number;
  /** Coupons at each of two settings that would tell, run in random order. */
  readonly toTell: { readonly low: number; readonly high: number; readonly each: number | null };
}

/** Which settings an incident goes with. */
export interface IncidentSettings {
  readonly what: string;
  readonly withIt: number;
  readonly withoutIt: number;
  readonly settings: readonly IncidentSetting[];
  readonly seed: number;
}

const SHUFFLES = 4000;

/**
 * Which numeric factor an incident on coupons goes with, by rank: the settings were not changed for this question, so what
 * is found is a suspicion, and `toTell` says how many coupons at the ends of the factor would settle it.
 *
 * @param seed - of the shuffles. Default 1
 * @returns null with fewer than two coupons on either side
 */
export function incidentSettings(
  study: StudyData & { readonly incidents: readonly Incident[] },
  what: string,
  seed = 1,
): IncidentSettings | null {
  const hit = new Set(
    study.incidents.flatMap((incident) => (incident.what === what ? (incident.coupon ?? []) : [])),
  );
  const coupons = study.coupons.filter(({ state, id }) => state !== "planned" || hit.has(id));
  const withIt = coupons.filter(({ id }) => hit.has(id)).length;
  if (withIt < 2 || coupons.length - withIt < 2) return null;
  const found = study.definition.factors.flatMap(({ name, unit, kind, low, high }) => {
    if (kind === "category") return [];
    const rows = coupons.flatMap(({ id, settings }) => {
      const value = ownValue(settings, name);
      return typeof value === "number" ? [{ value, hit: hit.has(id) }] : [];
    });
    const [on, off] = [true, false].map((side) =>
      rows.filter((row) => row.hit === side).map(({ value }) => value),
    ) as [number[], number[]];
    if (on.length < 2 || off.length < 2 || new Set(rows.map(({ value }) => value)).size < 2) return [];
    const { place, p } = rankTest(on, off, randomStream(seed).split(what).split(name));
    const toTell = { low, high, each: couponsToTell(shareAt(rows, low, high)) };
    return [{ factor: name, unit, with: median(on), without: median(off), place, p, toTell }];
  });
  const order = [...found].sort((a, b) => a.p - b.p);
  let worst = 0;
  const settings = order.map((setting, i) => {
    worst = Math.max(worst, Math.min(1, setting.p * (order.length - i)));
    return { ...setting, adjusted: worst };
  });
  return { what, withIt, withoutIt: coupons.length - withIt, settings, seed };
}

/** Share of coupons hit in the lower and the upper half of a factor, drawn half way to each other: few coupons overstate. */
function shareAt(
  rows: readonly { readonly value: number; readonly hit: boolean }[],
  low: number,
  high: number,
): readonly [number, number] {
  const middle = (low + high) / 2;
  const share = (part: typeof rows): number =>
    (part.filter(({ hit }) => hit).length + 0.5) / (part.length + 1);
  return [
    share(rows.filter(({ value }) => value <= middle)),
    share(rows.filter(({ value }) => value > middle)),
  ];
}

function rankTest(
  on: readonly number[],
  off: readonly number[],
  random: RandomStream,
): { readonly place: number; readonly p: number } {
  const all = [...on, ...off];
  const ranks = midRanks(all);
  const centre = (on.length * (all.length + 1)) / 2;
  const far = Math.abs(ranks.slice(0, on.length).reduce((sum, rank) => sum + rank, 0) - centre);
  let as = 0;
  const shuffled = [...ranks];
  for (let run = 0; run < SHUFFLES; run++) {
    let sum = 0;
    for (let i = 0; i < on.length; i++) {
      const j = i + random.integer(0, shuffled.length - 1 - i);
      [shuffled[i], shuffled[j]] = [shuffled[j]!, shuffled[i]!];
      sum += shuffled[i]!;
    }
    if (Math.abs(sum - centre) >= far - 1e-9) as++;
  }
  const sum = ranks.slice(0, on.length).reduce((total, rank) => total + rank, 0);
  return {
    place: (sum - (on.length * (on.length + 1)) / 2) / (on.length * off.length),
    p: (as + 1) / (SHUFFLES + 1),
  };
}

/** Ranks from 1, equal values sharing the mean of theirs. */
function midRanks(values: readonly number[]): number[] {
  return values.map(
    (value) =>
      values.filter((other) => other < value).length +
      (values.filter((other) => other === value).length + 1) / 2,
  );
}
