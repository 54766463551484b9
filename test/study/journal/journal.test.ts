import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import {
  appendEntries,
  canonicalJson,
  type Entry,
  openStudy,
  type Study,
  verifyJournal,
} from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";
import { results } from "../../support/studies.js";
import { faultsOf, fixedClock, newStudy } from "../support.js";

const clock = fixedClock;
const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };
const pathOf = (study: Study): string => join(study.folder, "journal.jsonl");
const linesOf = (study: Study): string[] => readFileSync(pathOf(study), "utf8").split("\n").slice(0, -1);

/** Three coupons planned together, one logged, one incident, one correction: seq 1-3, 4, 5, 6. */
function storiedStudy(): Study {
  let study = newStudy();
  study = appendEntries(
    study,
    [
      { kind: "planned", values: settings },
      { kind: "planned", values: settings, role: "centre" },
      { kind: "planned", values: { ...settings, cup: "large" } },
    ],
    { clock },
  );
  study = appendEntries(
    study,
    [{ kind: "logged", coupon: "C001", values: { bead_width: 5.2, sound_bead: true } }],
    { clock },
  );
  study = appendEntries(
    study,
    [
      {
        kind: "incident",
        what: "wire_stuck",
        outcome: "resumed",
        coupon: "C002",
        lostTime: { value: 6, unit: "min" },
      },
    ],
    { clock },
  );
  return appendEntries(
    study,
    [{ kind: "corrected", entry: 4, values: { bead_width: 5.3 }, reason: "caliper read wrongly" }],
    { clock },
  );
}

describe("canonicalJson", () => {
  // RFC 8785 section 3.2.2 (input) and 3.2.3 (its canonical form).
  test("gives the canonical form of the example in RFC 8785", () => {
    const input = {
      numbers: [Number("333333333.33333329"), 1e30, 4.5, 2e-3, 0.000000000000000000000000001],
      string: "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"/",
      literals: [null, true, false],
    };
    expect(canonicalJson(input)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  test("does not depend on the order of keys", () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.jsonValue()), (data) => {
        const turned = Object.fromEntries(Object.entries(data).reverse());
        expect(canonicalJson(turned)).toBe(canonicalJson(data));
        expect(JSON.parse(canonicalJson(data))).toEqual(JSON.parse(JSON.stringify(data)));
      }),
      { seed: 1, numRuns: 200 },
    );
  });

  test("refuses what JSON cannot carry", () => {
    expect(() => canonicalJson({ width: Number.NaN })).toThrow(/cannot hold NaN/);
  });
});

describe("the journal", () => {
  const study = storiedStudy();

  test("chains every entry by SHA-256 to the one before", () => {
    let prev = "0".repeat(64);
    for (const line of linesOf(study)) {
      const { hash, ...content } = JSON.parse(line) as Entry;
      expect(content.prev).toBe(prev);
      expect(createHash("sha256").update(canonicalJson(content)).digest("hex")).toBe(hash);
      prev = hash;
    }
    expect(verifyJournal(study.folder)).toEqual({ entries: 6, faults: [], lastHash: prev });
  });

  test("stamps entries with the injected clock in RFC 3339", () => {
    expect(new Set(study.entries.map(({ time }) => time))).toEqual(new Set(["2026-03-02T08:30:00.000Z"]));
  });

  test("replays to the same study, which survives JSON", () => {
    expect(openStudy(study.folder)).toEqual(study);
    expect(JSON.parse(JSON.stringify(study))).toEqual(study);
  });

  test("applies a correction and keeps what was first written", () => {
    expect(study.coupons[0]).toMatchObject({
      id: "C001",
      state: "logged",
      results: results({ measured: { bead_width: 5.3 }, passed: { sound_bead: true } }),
    });
    expect(study.coupons[0]?.notes).toEqual(["corrected: caliper read wrongly"]);
    expect(study.entries[3]).toMatchObject({ kind: "logged", values: { bead_width: 5.2 } });
  });

  test("only ever grows", () => {
    const before = readFileSync(pathOf(study));
    appendEntries(study, [{ kind: "note", text: "swept the bench" }], { clock });
    expect(readFileSync(pathOf(study)).subarray(0, before.length)).toEqual(before);
  });
});

describe("a damaged journal", () => {
  const study = storiedStudy();
  const sound = readFileSync(pathOf(study));
  const restore = (lines: readonly string[]): void =>
    writeFileSync(pathOf(study), lines.map((line) => `${line}\n`).join(""));
  const lines = linesOf(study);

  test("shows a changed value with its line and entry, and does not use it", () => {
    restore(lines.map((line) => line.replace('"bead_width":5.2', '"bead_width":5.9')));
    expect(verifyJournal(study.folder).faults).toEqual([
      {
        line: 4,
        seq: 4,
        code: "changed",
        message:
          "line 4, entry 4: was changed after it was written (its hash does not match); it is not used",
      },
    ]);
    const opened = openStudy(study.folder);
    expect(opened.integrity).toMatchObject([{ code: "journal-changed", severity: "error" }]);
    expect(opened.coupons[0]).toMatchObject({ id: "C001", state: "planned" });
    expect(opened.coupons[0]!.results).toEqual({});
  });

  test("can be mended by logging again, and still shows the damage", () => {
    restore(lines.map((line) => line.replace('"bead_width":5.2', '"bead_width":5.9')));
    const mended = appendEntries(
      openStudy(study.folder),
      [{ kind: "logged", coupon: "C001", values: { bead_width: 5.3 } }],
      { clock },
    );
    expect(mended.coupons[0]?.results).toEqual(results({ measured: { bead_width: 5.3 } }));
    expect(mended.integrity.map(({ code }) => code)).toEqual(["journal-changed"]);
  });

  test.each([
    [
      "a line taken out",
      lines.filter((_, i) => i !== 3),
      { line: 4, seq: 5, code: "sequence", message: "line 4, entry 5: entry 4 is missing before it" },
    ],
    [
      "a line repeated",
      lines.flatMap((line, i) => (i === 3 ? [line, line] : [line])),
      {
        line: 5,
        seq: 4,
        code: "sequence",
        message: "line 5, entry 4: comes after entry 4: a line was repeated or moved",
      },
    ],
    [
      "an unreadable line",
      lines.map((line, i) => (i === 4 ? line.slice(5) : line)),
      { line: 5, code: "unreadable", message: "line 5 is not a journal entry; it is not used" },
    ],
    [
      "a first line taken out",
      lines.slice(1),
      { line: 1, seq: 2, code: "sequence", message: "line 1, entry 2: entry 1 is missing before it" },
    ],
  ])("locates %s", (_case, damaged, fault) => {
    restore(damaged);
    expect(verifyJournal(study.folder).faults).toEqual([fault]);
  });

  test("never passes as sound with other content, whichever byte is changed", () => {
    fc.assert(
      fc.property(fc.nat(sound.length - 1), fc.integer({ min: 1, max: 255 }), (at, by) => {
        const bytes = Buffer.from(sound);
        bytes[at] = (bytes[at]! + by) % 256;
        writeFileSync(pathOf(study), bytes);
        const { faults, torn } = verifyJournal(study.folder);
        if (faults.length > 0 || torn !== undefined) return;
        expect(openStudy(study.folder).entries).toEqual(study.entries);
      }),
      { seed: 2, numRuns: 150 },
    );
  }, 30_000);

  test("cut off anywhere gives back whole groups of entries and sets the rest aside", () => {
    const ends = [0, 3, 4, 5, 6].map(
      (count) => lines.slice(0, count).join("\n").length + (count > 0 ? 1 : 0),
    );
    fc.assert(
      fc.property(fc.nat(sound.length - 1), (at) => {
        const folder = newStudy().folder;
        writeFileSync(join(folder, "journal.jsonl"), sound.subarray(0, at));
        // An entry that lacks no more than the end of its line is whole.
        const kept = ends.filter((end) => end <= at + 1).length - 1;
        const opened = openStudy(folder, { clock });
        const count = [0, 3, 4, 5, 6][kept]!;
        expect(opened.entries.slice(0, count)).toEqual(study.entries.slice(0, count));
        const torn = at > ends[kept]!;
        expect(opened.integrity.map(({ code }) => code)).toEqual(torn ? ["journal-torn"] : []);
        expect(opened.entries.length).toBe(count + (torn ? 1 : 0));
        if (!torn) return;
        const aside = readdirSync(folder).filter((name) => name.startsWith("journal.torn-after-"));
        expect(aside).toHaveLength(1);
        expect(readFileSync(join(folder, aside[0]!))).toEqual(sound.subarray(ends[kept], at));
        expect(opened.notes.at(-1)?.text).toContain(aside[0]);
        expect(verifyJournal(folder).faults).toEqual([]);
        expect(openStudy(folder).integrity).toEqual([]);
      }),
      { seed: 3, numRuns: 20 },
    );
  }, 30_000);
});

describe("appendEntries", () => {
  test("writes all entries or none", () => {
    const study = newStudy();
    const faults = faultsOf(() =>
      appendEntries(study, [
        { kind: "planned", values: settings },
        { kind: "logged", coupon: "C001", values: { bead_width: "wide" } },
      ]),
    );
    expect(faults).toEqual(['line 2, "bead_width": bead_width must be a number']);
    expect(verifyJournal(study.folder).entries).toBe(0);
  });

  test("numbers coupons and run order by itself", () => {
    const study = appendEntries(newStudy(), [
      { kind: "planned", values: settings },
      { kind: "logged", values: { ...settings, bead_width: 5 } },
    ]);
    expect(study.coupons.map(({ id, order, state }) => [id, order, state])).toEqual([
      ["C001", 1, "planned"],
      ["C002", 2, "logged"],
    ]);
  });

  test("lists coupons in run order, those of one place by name, whichever was written first", () => {
    const study = appendEntries(
      newStudy(),
      (
        [
          ["B", 2],
          ["D", 1],
          ["A", 2],
          ["C", 1],
        ] as const
      ).map(([coupon, order]) => ({ kind: "planned" as const, coupon, order, values: settings })),
    );
    expect(study.coupons.map(({ id }) => id)).toEqual(["C", "D", "A", "B"]);
  });

  test("keeps values as written and converts them to the study's unit", () => {
    const study = appendEntries(newStudy(), [
      {
        kind: "logged",
        values: { ...settings, wire_feed_speed: 40, arc_voltage: 11.5 },
        units: { wire_feed_speed: "in/min", arc_voltage: "V" },
      },
    ]);
    expect(study.entries[0]).toMatchObject({
      values: { wire_feed_speed: 40 },
      units: { wire_feed_speed: "in/min", current: "A" },
    });
    expect(study.coupons[0]?.settings.wire_feed_speed).toBe(1016);
    expect(study.coupons[0]?.statedUnits).toEqual({ wire_feed_speed: "in/min" });
    expect(study.coupons[0]?.context).toEqual({ arc_voltage: { value: 11.5, unit: "V" } });
  });

  test("lets a correction change only the unit of a slip", () => {
    let study = appendEntries(newStudy(), [{ kind: "logged", values: { ...settings, wire_feed_speed: 40 } }]);
    study = appendEntries(study, [
      { kind: "corrected", entry: 1, units: { wire_feed_speed: "in/min" }, reason: "typed in in/min" },
    ]);
    expect(study.coupons[0]?.settings.wire_feed_speed).toBe(1016);
  });

  test("voids a coupon, or one entry, and erases nothing", () => {
    let study = appendEntries(newStudy(), [
      { kind: "logged", values: { ...settings, bead_width: 5 } },
      { kind: "logged", values: settings },
      { kind: "incident", what: "arc_lost", outcome: "scrapped" },
    ]);
    study = appendEntries(study, [
      { kind: "voided", coupon: "C001", reason: "mill scale left on" },
      { kind: "voided", entry: 2, reason: "logged twice" },
      { kind: "voided", entry: 3, reason: "was another rig" },
    ]);
    expect(study.coupons.map(({ id, state }) => [id, state])).toEqual([["C001", "voided"]]);
    expect(study.incidents).toEqual([]);
    expect(study.entries).toHaveLength(6);
  });

  test("withdraws a value by a correction with null", () => {
    let study = appendEntries(newStudy(), [
      { kind: "logged", values: { ...settings, bead_width: 5, bead_height: 2 } },
    ]);
    study = appendEntries(study, [
      { kind: "corrected", entry: 1, values: { bead_height: null }, reason: "gauge was off" },
    ]);
    expect(study.coupons[0]?.results).toEqual(results({ measured: { bead_width: 5 } }));
  });

  test.each([
    [
      "a coupon that does not exist",
      { kind: "voided", coupon: "C01", reason: "x" },
      'line 1, "coupon": there is no coupon C01; did you mean "C001"?',
    ],
    [
      "an entry that does not exist",
      { kind: "corrected", entry: 9, values: { bead_width: 5 }, reason: "x" },
      'line 1, "entry": there is no entry 9',
    ],
    [
      "a correction without reason",
      { kind: "corrected", entry: 1, values: { bead_width: 5 }, reason: "" },
      'line 1, "reason": must not be empty, nor begin or end with a blank, got ""',
    ],
    [
      "a correction of nothing",
      { kind: "corrected", entry: 1, reason: "x" },
      'line 1, "values": a correction needs a value, readings or a unit to change',
    ],
    [
      "a value that is there already",
      { kind: "logged", coupon: "C001", values: { bead_width: 6 } },
      'line 1, "bead_width": coupon C001 has bead_width = 5 already (entry 1), now it says 6; to change it, log a correction',
    ],
    [
      "a new coupon without a setting",
      { kind: "logged", coupon: "C7", values: { current: 1, travel_speed: 1, cup: "small" } },
      'line 1, "wire_feed_speed": coupon C7 needs its setting of wire_feed_speed',
    ],
    [
      "a level that does not exist",
      { kind: "logged", coupon: "C001", values: { cup: "huge" } },
      'line 1, "cup": cup must be one of small, large, got huge',
    ],
    [
      "a unit of another kind",
      { kind: "logged", coupon: "C001", values: { bead_height: 2 }, units: { bead_height: "A" } },
      'line 1, "bead_height": bead_height must have a unit like mm, got A',
    ],
    [
      "a context quantity without unit",
      { kind: "logged", coupon: "C001", values: { arc_voltage: 12 } },
      'line 1, "arc_voltage": arc_voltage needs a unit (1 for a plain number)',
    ],
    [
      "a context quantity in another kind of unit than before",
      { kind: "logged", coupon: "C001", values: { gas_flow: 12 }, units: { gas_flow: "V" } },
      'line 1, "gas_flow": gas_flow was logged in L/min before; write a unit like it, got V',
    ],
  ])("refuses %s", (_case, body, expected) => {
    const first = {
      kind: "logged" as const,
      values: { ...settings, bead_width: 5, gas_flow: 10 },
      units: { gas_flow: "L/min" },
    };
    const study = appendEntries(newStudy(), [first]);
    expect(faultsOf(() => appendEntries(study, [body as never]))).toEqual([expected]);
  });

  test("follows an edit of study.json: values convert to its new unit, and what no longer fits is reported", () => {
    const study = appendEntries(newStudy(), [
      { kind: "logged", values: { ...settings, wire_feed_speed: 1016 } },
    ]);
    const path = join(study.folder, "study.json");
    const text = readFileSync(path, "utf8");
    const edited = JSON.parse(text) as { factors: { name: string; unit: string; levels?: string[] }[] };
    edited.factors[2]!.unit = "in/min";
    edited.factors[3]!.levels = ["medium", "large"];
    writeFileSync(path, JSON.stringify(edited));
    const opened = openStudy(study.folder);
    expect(opened.coupons[0]?.settings).toEqual({ current: 120, travel_speed: 100, wire_feed_speed: 40 });
    expect(opened.integrity).toMatchObject([
      { code: "value-does-not-fit", about: ["C001", "cup"] },
      { code: "setting-missing", about: ["C001"] },
    ]);
  });

  test("sets an unfinished end aside before it writes", () => {
    const study = storiedStudy();
    const { size } = statSync(pathOf(study));
    truncateSync(pathOf(study), size - 2);
    const after = appendEntries(study, [{ kind: "note", text: "after the cut" }], { clock });
    expect(after.entries.map(({ kind }) => kind)).toEqual([
      "planned",
      "planned",
      "planned",
      "logged",
      "incident",
      "note",
      "note",
    ]);
    expect(verifyJournal(study.folder).faults).toEqual([]);
  });
});
