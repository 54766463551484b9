import { describe, expect, test } from "vitest";
import {
  appendEntries,
  type Coupon,
  type EntryBody,
  exportCsv,
  importCsv,
} from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";
import { newStudy } from "../support.js";

const number = fc.oneof(
  fc.double({ min: 1e-3, max: 1e4, noNaN: true }),
  fc.integer({ min: 1, max: 20_000 }).map((n) => n / 1000),
  fc.integer({ min: -50, max: 2000 }),
);
/** Text as people and spreadsheets make it: separators, quotes, line breaks, formula signs. */
const text = fc
  .array(
    fc.constantFrom(
      "a",
      "ä",
      "7",
      " ",
      ",",
      ";",
      "\t",
      '"',
      "'",
      "=",
      "+",
      "-",
      "@",
      "\n",
      "µm",
      "#",
      "[",
      "]",
      "1,5",
    ),
    { minLength: 1, maxLength: 12 },
  )
  .map((parts) => parts.join("").trim())
  .filter((word) => word !== "");

const optional = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const present = (fields: Record<string, unknown>): Record<string, never> =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as Record<
    string,
    never
  >;

/** Sizes and settings are not below 0. */
const size = number.map(Math.abs);

/** A logged or planned coupon under the example definition. */
const record = fc
  .record({
    settings: fc.record({
      current: size,
      travel_speed: size,
      wire_feed_speed: size,
      cup: fc.constantFrom("small", "large"),
    }),
    results: fc.record({
      bead_width: optional(size),
      sound_bead: optional(fc.boolean()),
      looks: optional(fc.integer({ min: 1, max: 5 })),
    }),
    heights: optional(fc.array(size, { minLength: 1, maxLength: 4 })),
    blocks: fc.record({ day: optional(text), tungsten_grind: optional(text) }),
    voltage: optional(size),
    note: optional(text),
    role: optional(text),
    state: fc.constantFrom("planned", "logged"),
  })
  .map(({ settings, results, heights, blocks, voltage, note, role, state }): EntryBody => {
    const coupon = { values: { ...settings, ...present(blocks) }, ...present({ note, role }) };
    if (state === "planned") return { kind: "planned", ...coupon };
    const values = { ...coupon.values, ...present({ ...results, arc_voltage: voltage }) };
    const units = voltage === undefined ? {} : { arc_voltage: "V" };
    const readings = heights === undefined ? {} : { bead_height: heights };
    return { kind: "logged", ...coupon, values, units, readings };
  });

const study = fc
  .tuple(fc.array(record, { minLength: 1, maxLength: 8 }), fc.nat(7))
  .map(([records, voided]) => {
    const made = appendEntries(newStudy(), records);
    const victim = made.coupons[voided];
    return victim?.state === "logged"
      ? appendEntries(made, [{ kind: "voided", coupon: victim.id, reason: "cold plate" }])
      : made;
  });

/** What a CSV file can carry of a coupon: not when and in which entry it was logged. */
function content(coupon: Coupon): object {
  const { time: _time, seq: _seq, plannedSettings: _planned, notes, ...rest } = coupon;
  return { ...rest, notes: notes.filter((line) => !line.startsWith("voided: ") && line !== "") };
}

const dialect = fc.record({
  format: fc.constantFrom(
    { separator: ",", decimal: "." },
    { separator: ";", decimal: "." },
    { separator: ";", decimal: "," },
    { separator: "\t", decimal: "." },
    { separator: "\t", decimal: "," },
  ) as fc.Arbitrary<{ separator: "," | ";" | "\t"; decimal: "." | "," }>,
  lineEnd: fc.constantFrom("\n", "\r\n") as fc.Arbitrary<"\n" | "\r\n">,
  mark: fc.boolean(),
  encoding: fc.constantFrom("text", "utf8", "utf16le"),
});

function encode(csv: string, { mark, encoding }: { mark: boolean; encoding: string }): string | Uint8Array {
  const marked = mark || encoding === "utf16le" ? `\uFEFF${csv}` : csv;
  return encoding === "text" ? marked : Buffer.from(marked, encoding as BufferEncoding);
}

describe("a CSV file", () => {
  test("exported in any dialect and imported into a new study gives the same coupons", () => {
    fc.assert(
      fc.property(study, dialect, (original, { format, lineEnd, ...bytes }) => {
        const csv = exportCsv(original, { ...format, lineEnd });
        const copy = importCsv(newStudy(), encode(csv, bytes)).study;
        expect(copy.coupons.map(content)).toEqual(original.coupons.map(content));
      }),
      { seed: 11, numRuns: 25 },
    );
  }, 30_000);

  test("imported again into the study it came from changes nothing", () => {
    fc.assert(
      fc.property(study, dialect, (original, { format, lineEnd, ...bytes }) => {
        const csv = exportCsv(original, { ...format, lineEnd });
        const { study: after, logged, planned } = importCsv(original, encode(csv, bytes));
        expect([...logged, ...planned]).toEqual([]);
        expect(after).toEqual(original);
      }),
      { seed: 12, numRuns: 20 },
    );
  }, 30_000);

  test("never holds a cell that a spreadsheet runs as a formula", () => {
    fc.assert(
      fc.property(study, (original) => {
        const cells = exportCsv(original).match(/(?<=^|,)("(?:[^"]|"")*"|[^",\n]*)(?=,|\n|$)/gm) ?? [];
        const running = cells.map((cell) => cell.replace(/^"/, "")).filter((cell) => /^\s*[=+@-]/.test(cell));
        expect(running.filter((cell) => !/^-[\d.]+(e[-+]?\d+)?$/.test(cell))).toEqual([]);
      }),
      { seed: 13, numRuns: 20 },
    );
  }, 30_000);

  test("shows the mean of readings without the digits that adding leaves", () => {
    const values = { current: 150, travel_speed: 180, wire_feed_speed: 1200, cup: "small" };
    const readings = { bead_height: [2.1, 2.2] };
    const csv = exportCsv(appendEntries(newStudy(), [{ kind: "logged", values, readings }]));
    // (2.1 + 2.2) / 2 is 2.1500000000000004 in binary.
    expect(csv.split("\n")[1]!.split(",")).toEqual(expect.arrayContaining(["2.15", "2.1", "2.2"]));
  });
});
