import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { demoFiles } from "../../../data-demo/files.js";
import {
  applyEvent,
  type Coupon,
  createStudy,
  measuredOf,
  measuredResults,
  parseEvents,
  type Study,
  verifyJournal,
} from "../../../lib/study/index.js";
import { sizeOf } from "../../support/studies.js";
import { faultsOf, newFolder } from "../support.js";

const read = (name: string): string =>
  readFileSync(fileURLToPath(new URL(`../../../data-demo/${name}`, import.meta.url)), "utf8");
const events = parseEvents(read("events.jsonl"));

/** The demo study after the first events, up to and including the last for which `until` holds. */
function studyAfter(until: (event: (typeof events)[number]) => boolean): Study {
  const count = Math.max(...events.map((event, i) => (until(event) ? i + 1 : 0)));
  const empty = createStudy(newFolder(), JSON.parse(read("study.json")));
  return events.slice(0, count).reduce((study, event) => applyEvent(study, event, read), empty);
}

const measuredOn = (study: Study, day: string): readonly Coupon[] =>
  study.coupons.filter(
    (coupon) =>
      coupon.blocks.day === day &&
      coupon.state === "logged" &&
      measuredOf(coupon, "bead_width") !== undefined,
  );

/** A circular segment fills 0.667 (flat) to 0.785 (semicircle) of its box; 12 % is three times the beads' scatter. */
const possible = { lower: 0.667 * 0.88, upper: 0.785 * 1.12 };

/** Area of metal fed over width times height. */
function fullness(coupon: Coupon): number {
  const { settings } = coupon;
  const fed = (((Math.PI * 1.2 ** 2) / 4) * Number(settings.wire_feed_speed)) / Number(settings.travel_speed);
  return fed / (sizeOf(coupon, "bead_width") * sizeOf(coupon, "bead_height"));
}

const isPossible = (ratio: number): boolean => ratio > possible.lower && ratio < possible.upper;

describe("the demo data", () => {
  test("is what its script writes, byte for byte", () => {
    for (const [name, text] of Object.entries(demoFiles())) expect(read(name), name).toBe(text);
  });

  const study = studyAfter(() => true);

  test("is a study of 40 coupons over four days, with failures, repeats, a void, incidents and changes", () => {
    expect(study.coupons).toHaveLength(40);
    expect(new Set(study.coupons.map(({ blocks }) => blocks.day))).toEqual(new Set(["1", "2", "3", "4"]));
    expect(study.coupons.filter(({ state }) => state === "voided").map(({ id }) => id)).toEqual(["C026"]);
    expect(study.incidents.map(({ what }) => what)).toEqual(["wire_stuck", "tungsten_touched"]);
    expect(study.changes.map(({ what }) => what)).toEqual(["tungsten", "gas_cylinder"]);
    const failed = study.coupons.filter(({ results }) =>
      Object.values(results).some((result) => result.kind === "passFail" && !result.passed),
    );
    expect(failed.length).toBeGreaterThanOrEqual(10);
    expect(failed.every((coupon) => measuredResults(coupon).length === 0)).toBe(true);
    expect(study.coupons.filter(({ role }) => role === "control")).toHaveLength(8);
    expect(study.integrity).toEqual([]);
    expect(verifyJournal(study.folder).faults).toEqual([]);
  });

  test("breaks the mass balance by 25.4 on day 2 until the slip of unit is corrected", () => {
    const before = studyAfter((event) => "import" in event && event.import === "day-2.csv");
    for (const coupon of measuredOn(before, "1")) expect(isPossible(fullness(coupon)), coupon.id).toBe(true);
    for (const coupon of measuredOn(before, "2"))
      expect(isPossible(fullness(coupon) * 25.4), coupon.id).toBe(true);
    const all = ["1", "2", "3", "4"].flatMap((day) => measuredOn(study, day));
    expect(all.length).toBeGreaterThanOrEqual(25);
    for (const coupon of all) expect(isPossible(fullness(coupon)), coupon.id).toBe(true);
  });

  test("holds a height typed without its decimal mark until that is corrected", () => {
    const before = studyAfter((event) => "import" in event && event.import === "day-3.csv");
    expect(
      before.coupons.filter((coupon) => (measuredOf(coupon, "bead_height") ?? 0) > 10).map(({ id }) => id),
    ).toEqual(["C022"]);
    expect(study.coupons.filter((coupon) => (measuredOf(coupon, "bead_height") ?? 0) > 10)).toEqual([]);
  });

  test("contains coupons within the specification, repeated", () => {
    const { spec: width } = study.definition.responses[0]!;
    const { spec: height } = study.definition.responses[1]!;
    const within = (coupon: Coupon, name: string, spec: typeof width): boolean => {
      const size = measuredOf(coupon, name);
      return size !== undefined && size >= spec!.lower! && size <= spec!.upper!;
    };
    const good = study.coupons.filter(
      (coupon) => within(coupon, "bead_width", width) && within(coupon, "bead_height", height),
    );
    expect(good.length).toBeGreaterThanOrEqual(10);
    expect(good.filter(({ role }) => role === "repeat").length).toBeGreaterThanOrEqual(3);
  });
});

describe("parseEvents", () => {
  test("names the line that is no event", () => {
    const good = '{"time":"2026-03-02T15:40:00Z","import":"day-1.csv"}';
    expect(parseEvents(`${good}\n\n`)).toHaveLength(1);
    for (const bad of ["{", '{"import":"day-1.csv"}', '{"time":"2026-03-02T15:40:00Z"}']) {
      expect(faultsOf(() => parseEvents(`${good}\n${bad}`))).toEqual([
        'events:2: must hold "time" and one of "import", "log", "correct"',
      ]);
    }
  });
});
