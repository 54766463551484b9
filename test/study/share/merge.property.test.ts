import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { appendEntries, openStudy, type Study, verifyJournal } from "../../../lib/study/index.js";
import { mergeStudy } from "../../../lib/study/share/index.js";
import { fc } from "../../support/properties.js";
import { fixedClock, newStudy } from "../support.js";
import { type Act, act, copyOf, settings } from "./copies.js";

const clock = fixedClock;
const journalOf = (folder: string): string => readFileSync(join(folder, "journal.jsonl"), "utf8");
/** Hashes of the entries in a journal as text, its own and those it carries. */
const hashesIn = (text: string): ReadonlySet<string> =>
  new Set([...text.matchAll(/"hash":"([0-9a-f]{64})"/g)].map((match) => match[1]!));

/** All that a study holds but where it lies and when copies were merged into it. */
const recordOf = ({ folder: _, merges: __, entries, ...study }: Study): object => ({
  ...study,
  entries: entries.map(({ batchEnd: _end, ...entry }) => entry),
});
const merged = (own: string, ...others: readonly string[]): string => {
  const folder = copyOf(own);
  for (const other of others) mergeStudy(folder, other, { clock });
  return folder;
};
const record = (folder: string): object => recordOf(openStudy(folder));

const anAct: fc.Arbitrary<Act> = fc.record({
  what: fc.constantFrom("plan", "new", "log", "correct", "void", "note", "incident", "change", "build"),
  pick: fc.nat(20),
  value: fc.nat(99),
  minutes: fc.oneof(fc.integer({ min: 0, max: 90 }), fc.constantFrom(-1_000_000, -3, 0)),
});
const acts = fc.array(anAct, { minLength: 1, maxLength: 8 });
const starts = fc.constantFrom(
  "2026-03-01T08:00:00Z",
  "2026-03-02T08:00:00Z",
  "1970-01-01T00:00:00Z",
  "2031-01-01T00:00:00Z",
);

function common(first: readonly Act[]): string {
  const { folder } = newStudy();
  act(folder, first, "2026-02-01T08:00:00Z");
  return folder;
}

describe("mergeStudy", () => {
  test("gives one record in either order, loses and rewrites nothing, and changes nothing the second time", () => {
    fc.assert(
      fc.property(acts, acts, acts, starts, starts, (first, ours, theirs, here, there) => {
        const a = common(first);
        const b = copyOf(a);
        act(a, ours, here);
        act(b, theirs, there);
        const [ab, ba] = [merged(a, b), merged(b, a)];
        expect(record(ab)).toEqual(record(ba));
        expect(journalOf(ab).startsWith(journalOf(a))).toBe(true);
        const held = hashesIn(journalOf(ab));
        for (const hash of [...hashesIn(journalOf(a)), ...hashesIn(journalOf(b))])
          expect(held).toContain(hash);
        for (const folder of [ab, ba]) expect(verifyJournal(folder).faults).toEqual([]);
        const before = journalOf(ab);
        for (const other of [b, a, ba]) expect(mergeStudy(ab, other, { clock }).brought).toBe(0);
        expect(journalOf(ab)).toBe(before);
      }),
      { numRuns: 8 },
    );
  });

  test("keeps what each writer knew before what it wrote, whatever the clocks say", () => {
    fc.assert(
      fc.property(acts, acts, acts, starts, starts, (first, ours, theirs, here, there) => {
        const a = common(first);
        const b = copyOf(a);
        act(a, ours, here);
        act(b, theirs, there);
        const place = new Map(openStudy(merged(a, b)).entries.map(({ hash }, i) => [hash, i]));
        for (const folder of [a, b]) {
          const places = openStudy(folder).entries.map(({ hash }) => place.get(hash)!);
          expect(places).toEqual([...places].sort((x, y) => x - y));
        }
      }),
      { numRuns: 5 },
    );
  });

  test("of three copies gives the same whatever is merged first, also while they are written on", () => {
    fc.assert(
      fc.property(acts, acts, acts, acts, starts, (first, one, two, three, start) => {
        const a = common(first);
        const [b, c] = [copyOf(a), copyOf(a)];
        act(a, one, start);
        act(b, two, "2026-03-01T08:00:00Z");
        act(c, three, "2026-03-02T08:00:00Z");
        const ways = [merged(a, b, c), merged(c, b, a), merged(a, merged(b, c)), merged(merged(c, a), b)];
        for (const way of ways) expect(record(way)).toEqual(record(ways[0]!));
        // Written on in two of the merged ones, under the names they show.
        const [d, e] = [ways[0]!, ways[1]!];
        act(d, three, "2026-04-01T08:00:00Z");
        act(e, one, "2026-04-02T08:00:00Z");
        const [de, ed] = [merged(d, e), merged(e, d)];
        expect(record(de)).toEqual(record(ed));
        expect(record(merged(a, de))).toEqual(record(de));
        for (const folder of [de, ed]) expect(verifyJournal(folder).faults).toEqual([]);
      }),
      { numRuns: 4 },
    );
  });

  test("of two copies with 500 entries each gives the same 1000 coupons in either order", () => {
    const { folder: a } = newStudy();
    const b = copyOf(a);
    for (const [folder, width, hour] of [
      [a, 5, 8],
      [b, 4, 9],
    ] as const)
      for (let batch = 0; batch < 2; batch++)
        appendEntries(
          openStudy(folder),
          Array.from({ length: 250 }, (_, i) => ({
            kind: "logged",
            values: { ...settings, bead_width: width + (250 * batch + i) / 1000 },
          })),
          { clock: () => new Date(Date.UTC(2026, 2, 1 + batch, hour)) },
        );
    const [ab, ba] = [merged(a, b), merged(b, a)].map((folder) => openStudy(folder));
    expect(ab!.coupons).toHaveLength(1000);
    expect(recordOf(ab!)).toEqual(recordOf(ba!));
    const widths = ab!.coupons.map(({ results }) => results.bead_width);
    for (const folder of [a, b])
      for (const { results } of openStudy(folder).coupons) expect(widths).toContainEqual(results.bead_width);
    expect(ab!.coupons.map(({ order }) => order)).toEqual(Array.from({ length: 1000 }, (_, i) => i + 1));
    expect(ab!.integrity).toEqual([]);
  });
});
