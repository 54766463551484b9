import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { fitStudy } from "../../../lib/models/index.js";
import {
  appendEntries,
  type Coupon,
  createDemoStudy,
  openStudy,
  type Study,
} from "../../../lib/study/index.js";
import {
  openSharedStudy,
  type PrivatePart,
  parseSharedStudy,
  shareStudy,
} from "../../../lib/study/share/index.js";
import { fc } from "../../support/properties.js";
import { faultsOf, fixedClock, newFolder, newStudy } from "../support.js";
import { type Act, act, copyOf, settings } from "./copies.js";

const clock = fixedClock;
const shopOf = (study: Study, parts: readonly PrivatePart[] = []): Study =>
  openSharedStudy(newFolder(), parseSharedStudy(JSON.stringify(shareStudy(study, parts))));

/** Text as people write it: lines, quotes, commas, signs, other scripts, and a key every object has. */
const text = fc
  .array(
    fc.constantFrom(
      "a",
      "ü",
      "\n",
      '"',
      "'",
      ",",
      "1,5",
      "=",
      "鋼",
      "🔧",
      "\\",
      "__proto__",
      " ",
      "\u2028",
      "</script>",
    ),
    {
      minLength: 1,
      maxLength: 9,
    },
  )
  .map((parts) => parts.join("").trim())
  .filter((word) => word !== "");

const anAct: fc.Arbitrary<Act> = fc.record({
  what: fc.constantFrom("plan", "new", "log", "correct", "void", "note", "incident", "change", "build"),
  pick: fc.nat(20),
  value: fc.nat(99),
  minutes: fc.integer({ min: 0, max: 90 }),
});

/** A study with all kinds of entries, free text in every place that takes it, and readings in units of its own. */
const story = fc
  .tuple(fc.array(anAct, { maxLength: 8 }), text, text, text, fc.double({ min: 0.01, max: 9, noNaN: true }))
  .map(([acts, note, name, detail, width]) => {
    const { folder } = newStudy({
      rig: { name, settings: { arc_voltage: "11.5 V" } },
      costs: { currency: name },
      known: ["150 A, good"],
    });
    appendEntries(
      openStudy(folder),
      [
        { kind: "planned", values: { ...settings, day: name, tungsten_grind: detail }, role: "centre", note },
        {
          kind: "logged",
          coupon: "C001",
          values: { sound_bead: true, looks: 3, operator: name, room: 21 },
          units: { room: "degC" },
          readings: { bead_width: [width, width / 3] },
          note,
        },
        { kind: "change", what: "tungsten", detail, before: "C001", life: { value: 2, unit: "h" } },
        {
          kind: "incident",
          what: "arc_lost",
          outcome: "scrapped",
          cause: detail,
          coupon: "C001",
          lostTime: { value: 3, unit: "min" },
        },
        { kind: "note", text: note, coupon: "C001" },
      ],
      { clock },
    );
    act(folder, acts, "2026-03-03T08:00:00Z");
    return openStudy(folder);
  });

const numbersOf = ({ notes: _, seq: __, blocks: ___, ...coupon }: Coupon): object => coupon;

describe("a study shared and opened", () => {
  test("is the same study, but for hashes, where all that may go goes", () => {
    fc.assert(
      fc.property(story, (study) => {
        const { folder: _, entries, integrity, ...own } = study;
        const { folder: __, entries: there, integrity: ___, ...copy } = shopOf(study, ["text", "costs"]);
        expect(copy).toEqual(own);
        expect(there).toHaveLength(entries.length);
        expect(integrity).toEqual([]);
      }),
      { numRuns: 12 },
    );
  });

  test("without what is private has the same coupons and numbers, and nothing written freely", () => {
    fc.assert(
      fc.property(story, (study) => {
        const shared = shareStudy(study);
        const copy = shopOf(study);
        expect(copy.coupons.map(numbersOf)).toEqual(study.coupons.map(numbersOf));
        expect(copy.incidents.map(({ what, outcome, lostTime }) => [what, outcome, lostTime])).toEqual(
          study.incidents.map(({ what, outcome, lostTime }) => [what, outcome, lostTime]),
        );
        expect(JSON.stringify(shared)).not.toMatch(
          /"(note|cause|detail|text|currency|request|hash|operator)":/,
        );
        expect(shared.definition.rig).toEqual({ settings: { arc_voltage: { value: 11.5, unit: "V" } } });
        expect(copy.coupons[0]?.blocks).toEqual({ day: "1", tungsten_grind: "1" });
      }),
      { numRuns: 12 },
    );
  });

  test("fits to the same numbers", () => {
    const demo = createDemoStudy(newFolder());
    expect(JSON.stringify(fitStudy(shopOf(demo)))).toBe(JSON.stringify(fitStudy(demo)));
  }, 60_000);

  test("keeps the block's order and tells its names apart", () => {
    const { folder } = newStudy();
    const days = Array.from({ length: 12 }, (_, i) => `Anna ${String.fromCharCode(97 + i)}`);
    const study = appendEntries(
      openStudy(folder),
      days.map((day) => ({ kind: "logged", values: { ...settings, day } })),
      { clock },
    );
    expect(shopOf(study).coupons.map(({ blocks }) => blocks.day)).toEqual(
      Array.from({ length: 12 }, (_, i) => String(i + 1).padStart(2, "0")),
    );
  });

  test("never takes the place of a journal that lies in the folder", () => {
    const folder = newFolder();
    writeFileSync(join(folder, "journal.jsonl"), "precious");
    expect(faultsOf(() => openSharedStudy(folder, shareStudy(newStudy())))[0]).toMatch(
      /holds a journal already/,
    );
    expect(readFileSync(join(folder, "journal.jsonl"), "utf8")).toBe("precious");
  });

  test("can be shared after a merge", () => {
    const { folder } = newStudy();
    const copy = copyOf(folder);
    act(
      copy,
      [
        { what: "new", pick: 0, value: 3, minutes: 1 },
        { what: "correct", pick: 0, value: 9, minutes: 1 },
      ],
      "2026-03-03T08:00:00Z",
    );
    const study = openStudy(copy);
    expect(shopOf(study, ["text"]).coupons).toEqual(study.coupons);
  });
});

describe("a shared file that is not sound is refused whole", () => {
  const shared = shareStudy(
    appendEntries(newStudy(), [{ kind: "logged", values: { ...settings, bead_width: 5 } }], { clock }),
  );
  test.each([
    [{ ...shared, schema: "another" }, /is no shared study/],
    [{ ...shared, entries: 3 }, /is no shared study/],
    [
      { ...shared, definition: { ...shared.definition, factors: [] } },
      /"factors": needs at least one factor/,
    ],
    [{ ...shared, entries: [null] }, /"entries\[0\]\.kind"/],
    [
      { ...shared, entries: [{ ...shared.entries[0], time: "yesterday" }] },
      /"entries\[0\]\.time": must be a time/,
    ],
    [
      {
        ...shared,
        entries: [{ kind: "attached", file: "../x", sha256: "0".repeat(64), time: "2026-01-01T00:00:00Z" }],
      },
      /a shared study has no files/,
    ],
    [
      { ...shared, entries: [{ kind: "corrected", entry: 1, reason: "x", time: "2026-01-01T00:00:00Z" }] },
      /must name an entry before it, got "1"/,
    ],
  ])("%#", (content, told) => {
    expect(faultsOf(() => parseSharedStudy(JSON.stringify(content), "share.json")).join("\n")).toMatch(told);
  });

  test("text that is no JSON, with its line", () => {
    expect(faultsOf(() => parseSharedStudy('{\n "schema": }', "share.json"))[0]).toMatch(
      /share\.json.*line 2|share\.json:2/,
    );
  });
});
