import { readFileSync } from "node:fs";
import Ajv2020 from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { columnMapJsonSchema } from "../../../lib/study/foreign/index.js";
import { importCsv, type Study } from "../../../lib/study/index.js";
import {
  type ColumnMap,
  draftColumnMap,
  mapTable,
  parseColumnMap,
  readSheet,
} from "../../../lib/study/share/index.js";
import { zipOf } from "../../support/zip.js";
import { faultsOf, newStudy } from "../support.js";

const bytesOf = (name: string): Uint8Array => readFileSync(new URL(`fixtures/${name}`, import.meta.url));
const sheetOf = (name: string, sheet?: string) => readSheet(bytesOf(name), name, { sheet });

/** A study whose coupons need a current and a feed only. */
const bench = (): Study =>
  newStudy({
    factors: [
      { name: "current", unit: "A", low: 90, high: 150 },
      { name: "travel_speed", unit: "mm/min", low: 80, high: 260 },
    ],
    limits: [],
    blocks: ["day"],
  });

/** The map that a user makes of the fixture's draft. */
const map: ColumnMap = {
  schema: "beadbench/columns/1",
  headerRow: 3,
  skipRows: [4],
  lastRow: 9,
  decimal: ",",
  columns: [
    { from: "Nr.", to: "coupon" },
    { from: "Strom (A)", to: "current", unit: "A" },
    { from: "Vorschub", to: "travel_speed", unit: "mm/min" },
    { from: "Breite", column: "D", to: "bead_width_1", unit: "mm" },
    { from: "Breite", column: "E", to: "bead_width_2", unit: "mm" },
    { from: "Naht gut", to: "sound_bead", values: { ja: "yes", nein: "no" } },
    { from: "Tag", to: "day" },
    { from: "Bemerkung", to: "note" },
  ],
  constant: { arc_voltage: "11.5 V", operator: "A, B" },
};
const imported = (csv: string): Study => importCsv(bench(), csv).study;

describe("a workbook of another program", () => {
  test.each(["coupons-1900.xlsx", "coupons-1904.xlsx", "shared.xlsx"])(
    "%s comes in whole by its map",
    (name) => {
      const { coupons } = imported(mapTable(sheetOf(name), map).csv);
      expect(
        coupons.map(({ id, settings, results, blocks, notes, context }) => ({
          id,
          settings,
          results,
          blocks,
          notes,
          context,
        })),
      ).toMatchObject([
        {
          id: "P1",
          settings: { current: 120, travel_speed: 180 },
          results: {
            bead_width: { value: 5.55, scatter: { readings: [5.5, 5.6] } },
            sound_bead: { passed: true },
          },
          blocks: { day: "2026-03-02" },
          notes: expect.arrayContaining(["=2+3 nicht rechnen"]),
          context: { arc_voltage: { value: 11.5, unit: "V" } },
        },
        {
          id: "P2",
          settings: { current: 130.5 },
          results: { bead_width: { value: 5.75 }, sound_bead: { passed: false } },
          blocks: { day: "2026-03-03" },
        },
        { id: "P3", results: { sound_bead: { passed: true } }, blocks: { day: "2024-02-29" } },
      ]);
    },
  );

  test("is drafted: names it knows, letters where a heading stands twice, units left open", () => {
    const draft = draftColumnMap(
      newStudy({ factors: [{ name: "strom", unit: "A", low: 90, high: 150 }], limits: [], blocks: ["tag"] })
        .definition,
      sheetOf("coupons-1900.xlsx"),
    );
    expect(draft).toMatchObject({ headerRow: 3, decimal: "," });
    expect(draft.columns.slice(1, 5)).toEqual([
      { from: "Strom (A)", to: "strom", unit: "A" },
      { from: "Vorschub", to: null },
      { from: "Breite", column: "D", to: null },
      { from: "Breite", column: "E", to: null },
    ]);
    expect(parseColumnMap(JSON.stringify(draft))).toEqual(draft);
    const open = draftColumnMap(
      bench().definition,
      readSheet(Buffer.from("coupon,current,bead width [in]\nC1,3,4\n"), "a.csv"),
    );
    expect(open.columns).toEqual([
      { from: "coupon", to: "coupon" },
      { from: "current", to: "current", unit: "?" },
      { from: "bead width [in]", to: "bead_width", unit: "in" },
    ]);
    expect(faultsOf(() => parseColumnMap(JSON.stringify(open)))[0]).toMatch(
      /"columns\.1\.unit": is no unit known here/,
    );
  });

  test("is read without its hidden sheets; of several the one named", () => {
    expect(sheetOf("coupons-1900.xlsx").place).toBe('coupons-1900.xlsx, sheet "Raupen März"');
    expect(faultsOf(() => sheetOf("faulty.xlsx"))).toEqual([
      'faulty.xlsx has 2 sheets; name the one that is meant: "faults", "second"',
    ]);
    expect(faultsOf(() => sheetOf("faulty.xlsx", "Faults"))[0]).toMatch(
      /has no sheet "Faults"; it has "faults", "second"/,
    );
  });

  test("has every fault told by its cell", () => {
    const own: ColumnMap = {
      schema: "beadbench/columns/1",
      headerRow: 1,
      columns: [
        { from: "coupon", to: "coupon" },
        { from: "current [A]", to: "current", unit: "A" },
        { from: "bead width [mm]", to: "bead_width", unit: "mm" },
        { from: "day", to: "day" },
      ],
    };
    const at = (cell: string): string => `faulty.xlsx, sheet "faults", "${cell}": `;
    const faults = [
      `${at("B2")}holds a formula whose value was never saved; open the file in a spreadsheet program and save it`,
      `${at("C3")}holds an error; mend the formula, or clear the cell where nothing was measured, got "#DIV/0!"`,
      `${at("C4")}holds a date where a number in mm is wanted; the cell's format turned it into one, got "2026-05-06"`,
    ];
    const told = faultsOf(() => mapTable(sheetOf("faulty.xlsx", "faults"), own));
    expect(told.slice(0, 3)).toEqual(faults);
    expect(told[3]).toMatch(/"C5": .*got "wide"/);
    expect(told[4]).toBe(
      `${at("D4:D5")}cells are merged: part them and fill each, or say "fill": true of this column in the map`,
    );
    // A formula's saved value is read, without the digits binary arithmetic leaves.
    expect(faultsOf(() => mapTable(sheetOf("formulas.xlsx", "faults"), own))[0]).toBe(
      faults[1]!.replace("faulty", "formulas"),
    );
    const few = { ...own, lastRow: 2 };
    expect(mapTable(sheetOf("formulas.xlsx", "faults"), few).csv).toBe(
      'coupon,"current [A]","bead_width [mm]",day\nC1,120,5.5,1\n',
    );
    const filled = {
      ...own,
      skipRows: [2, 3],
      columns: own.columns.map((column) =>
        column.from === "day" ? { ...column, fill: true } : { ...column, unit: undefined },
      ),
    };
    expect(
      mapTable(sheetOf("faulty.xlsx", "faults"), filled as ColumnMap)
        .csv.split("\n")
        .slice(3),
    ).toEqual(["C3,120,2026-05-06,1", "C4,120,wide,1", ""]);
  });

  test("has headings that are missing or stand twice told with what there is", () => {
    const columns = [
      { from: "Breite", to: "bead_width", unit: "mm" },
      { from: "Höhe", to: "bead_height", unit: "mm" },
    ];
    expect(faultsOf(() => mapTable(sheetOf("coupons-1900.xlsx"), { ...map, columns }))).toEqual([
      'coupons-1900.xlsx, sheet "Raupen März":3, "Breite": stands over columns D, E; say which by "column" in the map',
      expect.stringMatching(/"Höhe": no column is headed so; there are "Nr\.", "Strom \(A\)"/),
    ]);
  });
});

describe("a hostile file", () => {
  test("that unpacks to gigabytes is refused, whatever size it claims", () => {
    const bomb = zipOf({ "xl/_rels/workbook.xml.rels": Buffer.alloc(101_000_000, 32) }, 10);
    expect(bomb.length).toBeLessThan(200_000);
    expect(faultsOf(() => readSheet(bomb, "bomb.xlsx"))[0]).toMatch(
      /unpacks to more than 100 MB, which is refused/,
    );
  });

  test("with a row beyond every spreadsheet is refused, and takes no memory for those between", () => {
    const sheet =
      '<worksheet><sheetData><row r="4000000000"><c t="str"><v>x</v></c></row></sheetData></worksheet>';
    const book = zipOf(
      {
        "xl/workbook.xml": '<workbook><sheets><sheet name="a" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<Relationships><Relationship Id="r1" Target="s.xml"/></Relationships>',
        "xl/s.xml": sheet,
      },
      10,
    );
    expect(faultsOf(() => readSheet(book, "far.xlsx"))[0]).toMatch(
      /sheet "a" has a row 4000000000; save what is needed/,
    );
  });

  test("with entities that grow is refused", () => {
    expect(faultsOf(() => sheetOf("laughs.xlsx"))[0]).toMatch(/brings a document type, which is refused/);
  });

  test("cut off or changed anywhere is refused or read, and never throws anything else", () => {
    const sound = Buffer.from(bytesOf("coupons-1900.xlsx"));
    for (let at = 5; at < sound.length; at += 97) {
      const changed = Buffer.from(sound);
      changed[at] = changed[at]! ^ 0x55;
      for (const bytes of [sound.subarray(0, at), changed])
        faultsOf(() => mapTable(readSheet(bytes, "x.xlsx"), map));
    }
  });

  test("of text never becomes a formula, a row or a column of its own", () => {
    const csv = 'coupon;current;w;note\nC1;120;5,5;"=cmd()\nx;""y"""\nC2;120;5,6;@SUM\n';
    const own: ColumnMap = {
      ...map,
      headerRow: 1,
      skipRows: [],
      columns: [
        { from: "coupon", to: "coupon" },
        { from: "current", to: "current", unit: "A" },
        { from: "w", to: "bead_width", unit: "mm" },
        { from: "note", to: "note" },
      ],
      constant: { travel_speed: "180 mm/min", operator: "=1,2\nx" },
    };
    const { coupons } = imported(mapTable(readSheet(Buffer.from(csv), "a.csv"), own).csv);
    expect(coupons.map(({ id, notes }) => [id, notes[0]])).toEqual([
      ["C1", expect.stringContaining("=")],
      ["C2", expect.any(String)],
    ]);
    expect(coupons.flatMap(({ notes }) => notes)).toEqual(
      expect.arrayContaining(['=cmd() x;"y"', "@SUM", "operator: =1,2 x"]),
    );
  });
});

test("dates that stand as text are read in the order the map says, and in no other", () => {
  const sheet = readSheet(
    Buffer.from("coupon,current,tag\nC1,120,3.4.2026\nC2,120,13.4.2026\nC3,120,early\n"),
    "a.csv",
  );
  const days = (dates: ColumnMap["dates"]): readonly string[] =>
    mapTable(sheet, {
      ...map,
      headerRow: 1,
      skipRows: [],
      dates,
      columns: [{ from: "tag", to: "day" }],
      constant: {},
    } as ColumnMap)
      .csv.split("\n")
      .slice(1, 4);
  expect(days("day-month-year")).toEqual(["2026-04-03", "2026-04-13", "early"]);
  expect(days("month-day-year")).toEqual(["2026-03-04", "13.4.2026", "early"]);
});

test("a number as text with a comma wants its mark", () => {
  const sheet = readSheet(Buffer.from("coupon;current\nC1;1,250\n"), "a.csv");
  const of = (decimal?: "." | ",") => () =>
    mapTable(sheet, {
      schema: map.schema,
      headerRow: 1,
      columns: [{ from: "current", to: "current", unit: "A" }],
      ...(decimal === undefined ? {} : { decimal }),
    }).csv;
  expect(faultsOf(of())[0]).toMatch(/^a\.csv:2, "current": is text with a comma; say in the map which mark/);
  expect(of(",")()).toContain("\n1.25\n");
});

test("schemas/columns-1.json is the schema of the map, and an independent validator agrees with the reader", () => {
  const schema = JSON.parse(
    readFileSync(new URL("../../../schemas/columns-1.json", import.meta.url), "utf8"),
  );
  expect(schema).toEqual(columnMapJsonSchema());
  const valid = new Ajv2020.default({ strictTypes: false }).compile(schema);
  for (const [content, sound] of [
    [map, true],
    [{ ...map, headerRow: 0 }, false],
    [{ ...map, colums: [] }, false],
    [{ ...map, columns: [{ from: "x" }] }, false],
    [{ ...map, decimal: ";" }, false],
  ] as const) {
    expect(valid(content)).toBe(sound);
    expect(faultsOf(() => parseColumnMap(JSON.stringify(content))).length === 0).toBe(sound);
  }
});
