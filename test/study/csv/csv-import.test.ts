import { describe, expect, test } from "vitest";
import {
  appendEntries,
  type Coupon,
  exportCsv,
  type ImportOptions,
  importCsv,
  measuredOf,
  type Study,
  scatterOf,
  verifyJournal,
} from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { results } from "../../support/studies.js";
import { faultsOf, newStudy } from "../support.js";

const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };
const HEADER = "coupon,current [A],travel_speed [mm/min],wire_feed_speed [mm/min],cup";
const SETTINGS = "120,100,1000,small";

/** Two equal planned coupons and one with the large cup. */
function plannedStudy(): Study {
  return appendEntries(newStudy(), [
    { kind: "planned", values: settings },
    { kind: "planned", values: settings },
    { kind: "planned", values: { ...settings, cup: "large" } },
  ]);
}

const importInto = (study: Study, text: string | Uint8Array, options: ImportOptions = {}) =>
  importCsv(study, text, { file: "results.csv", ...options });
const couponOf = (study: Study, id: string): Coupon => study.coupons.find((coupon) => coupon.id === id)!;
const faults = (text: string | Uint8Array, options: ImportOptions = {}): readonly string[] =>
  faultsOf(() => importInto(plannedStudy(), text, options));

describe("importCsv", () => {
  test("reads results of planned coupons by id", () => {
    const { study, logged } = importInto(
      plannedStudy(),
      `coupon,bead_width [mm],sound_bead,looks,day\nC002,5.2,yes,4,1\nC003,,FAIL,,1\n`,
    );
    expect(logged).toEqual(["C002", "C003"]);
    expect(couponOf(study, "C002")).toMatchObject({
      state: "logged",
      settings,
      blocks: { day: "1" },
    });
    expect(couponOf(study, "C002").results).toEqual(
      results({ measured: { bead_width: 5.2 }, passed: { sound_bead: true }, grades: { looks: 4 } }),
    );
    expect(couponOf(study, "C003").results).toEqual(results({ passed: { sound_bead: false } }));
    expect(couponOf(study, "C001").state).toBe("planned");
  });

  test("reads rows without id by their settings, repeats in run order", () => {
    const header = HEADER.replace("coupon,", "");
    const { study } = importInto(
      plannedStudy(),
      `${header},bead_width [mm]\n${SETTINGS},5.1\n${SETTINGS},5.2\n${SETTINGS},5.3\n`,
    );
    expect(study.coupons.map((coupon) => [coupon.id, measuredOf(coupon, "bead_width")])).toEqual([
      ["C001", 5.1],
      ["C002", 5.2],
      ["C003", undefined],
      ["C004", 5.3],
    ]);
  });

  test("converts any unit of the right dimension, to 12 digits", () => {
    const text =
      "current [A],travel_speed [mm/s],wire_feed_speed [in/min],cup,bead_width [in],interpass_temperature [degF]\n120,2,40,small,0.2,212\n";
    const [coupon] = importInto(newStudy(), text).study.coupons;
    expectDigits(coupon!.settings.travel_speed as number, 120, 12);
    expectDigits(coupon!.settings.wire_feed_speed as number, 1016, 12);
    expectDigits(measuredOf(coupon!, "bead_width")!, 5.08, 12);
    expect(coupon!.context).toEqual({ interpass_temperature: { value: 212, unit: "degF" } });
  });

  test("averages station readings and keeps their scatter", () => {
    // Sample standard deviation of 2, 4, 4, 4, 5, 5, 7, 9: sqrt(32 / 7).
    const names = Array.from({ length: 8 }, (_, i) => `bead_height_${i + 1} [mm]`).join(",");
    const { study } = importInto(plannedStudy(), `coupon,${names}\nC001,2,4,4,4,5,5,7,9\nC002,2,,4,,,,,\n`);
    expect(measuredOf(couponOf(study, "C001"), "bead_height")).toBe(5);
    expect(scatterOf(couponOf(study, "C001"), "bead_height")?.readings).toEqual([2, 4, 4, 4, 5, 5, 7, 9]);
    expectDigits(scatterOf(couponOf(study, "C001"), "bead_height")!.sd, Math.sqrt(32 / 7), 14);
    expect(scatterOf(couponOf(study, "C002"), "bead_height")?.readings).toEqual([2, 4]);
  });

  test("leaves out what was not measured: never 0", () => {
    const { study } = importInto(plannedStudy(), "coupon,bead_width [mm],bead_height [mm]\nC001,5,\n");
    expect(couponOf(study, "C001").results).toEqual(results({ measured: { bead_width: 5 } }));
    const table = importInto(study, "coupon,bead_height [mm]\nC001,0\n").study;
    expect(couponOf(table, "C001").results).toEqual(results({ measured: { bead_width: 5, bead_height: 0 } }));
  });

  test("adds measurements made later and skips what is there", () => {
    const first = importInto(plannedStudy(), "coupon,bead_width [mm]\nC001,5\nC002,\n").study;
    const second = importInto(first, "coupon,bead_width [mm],bead_height [mm]\nC001,5,2\nC002,,\n");
    expect(second.logged).toEqual(["C001"]);
    expect(second.skipped).toEqual([{ line: 3, coupon: "C002", reason: "no result yet" }]);
    expect(second.study.entries.at(-1)).toMatchObject({
      kind: "logged",
      coupon: "C001",
      values: { bead_height: 2 },
    });
    expect(couponOf(second.study, "C001").results).toEqual(
      results({ measured: { bead_width: 5, bead_height: 2 } }),
    );
  });

  test("recognises a file imported before, with and without ids", () => {
    for (const id of [true, false]) {
      const text = `${HEADER},bead_width [mm]\nC001,${SETTINGS},5.1\nC002,${SETTINGS},5.2\n`;
      const file = id ? text : text.replace(/^[^,]*,/gm, "");
      const once = importInto(plannedStudy(), file).study;
      const again = importInto(once, file);
      expect(again.logged).toEqual([]);
      expect(again.skipped.map(({ coupon }) => coupon)).toEqual(["C001", "C002"]);
      expect(again.study.entries).toHaveLength(once.entries.length);
    }
  });

  test("recognises a file whose slip of unit was corrected after it was imported", () => {
    const text = "coupon,wire_feed_speed [mm/min],bead_width [mm]\nC001,40,5.1\n";
    const once = importInto(plannedStudy(), text).study;
    const reason = "dial reads in/min";
    const units = { wire_feed_speed: "in/min" };
    const corrected = appendEntries(once, [{ kind: "corrected", entry: 4, units, reason }]);
    const again = importInto(corrected, text);
    expect(again.skipped).toEqual([
      { line: 2, coupon: "C001", reason: "already logged, and corrected since" },
    ]);
    expect(couponOf(again.study, "C001").settings.wire_feed_speed).toBe(1016);
  });

  test("says that a changed setting of a coupon without result is not taken", () => {
    const { skipped } = importInto(plannedStudy(), `${HEADER}\nC001,125,100,1000,small\n`);
    expect(skipped[0]?.reason).toBe("no result yet; the changed current is not taken");
  });

  test("asks whether equal rows without id and without numbers are the same coupon or a repeat", () => {
    const text = `${HEADER.replace("coupon,", "")},sound_bead\n${SETTINGS},no\n`;
    const once = importInto(newStudy(), text).study;
    expect(faultsOf(() => importInto(once, text))).toEqual([
      "results.csv:2: has the settings and results of C001, logged already: the same coupon or a repeat? Add a coupon column",
    ]);
  });

  test("refuses another value for a logged coupon and points to a correction", () => {
    const once = importInto(plannedStudy(), "coupon,bead_width [mm]\nC001,5.1\n").study;
    expect(faultsOf(() => importInto(once, "coupon,bead_width [mm]\nC001,5.2\n"))).toEqual([
      'results.csv:2, "bead_width [mm]": coupon C001 has bead_width = 5.1 already (entry 4), now it says 5.2; to change it, log a correction',
    ]);
  });

  test("takes coupons that were never planned, and rows without results as plans", () => {
    const { study, logged, planned } = importInto(
      newStudy(),
      `${HEADER},role,sound_bead\nW7,${SETTINGS},control,no\nW8,${SETTINGS},,\n`,
    );
    expect([logged, planned]).toEqual([["W7"], ["W8"]]);
    expect(study.coupons.map(({ id, order, state, role }) => [id, order, state, role])).toEqual([
      ["W7", 1, "logged", "control"],
      ["W8", 2, "planned", undefined],
    ]);
  });

  test("says when a coupon was run otherwise than planned, or was not planned", () => {
    const { notes, study } = importInto(
      plannedStudy(),
      `${HEADER},bead_width [mm]\nC001,125,100,1000,small,5\nX1,${SETTINGS},5\n`,
    );
    expect(notes).toEqual([
      "line 2: C001 was run with current = 125, planned was 120",
      "line 3: X1 was not planned; taken as a new coupon",
    ]);
    expect(couponOf(study, "C001")).toMatchObject({
      settings: { current: 125 },
      plannedSettings: { current: 120 },
    });
  });

  test("keeps text columns and notes with the coupon", () => {
    const once = importInto(
      plannedStudy(),
      "coupon,sound_bead,Operator,note\nC001,yes,Ilse,started cold\n",
    ).study;
    expect(couponOf(once, "C001").notes).toEqual(["started cold", "operator: Ilse"]);
    const more = importInto(once, "coupon,note\nC001,crater crack seen later\n").study;
    expect(couponOf(more, "C001").notes).toEqual([
      "started cold",
      "operator: Ilse",
      "crater crack seen later",
    ]);
  });

  test("takes a column with a unit that the study does not know for another quantity, unless it looks misspelt", () => {
    const like = { blocks: [], responses: [{ name: "plate_temperature", unit: "degC" }] };
    const study = appendEntries(newStudy(like), [{ kind: "planned", values: settings }]);
    const header = "coupon,plate_temperature [degC],interpass_temperature [degC]";
    expect(couponOf(importInto(study, `${header}\nC001,80,60\n`).study, "C001").context).toEqual({
      interpass_temperature: { value: 60, unit: "degC" },
    });
    expect(faultsOf(() => importInto(study, "coupon,plate_temprature [degC]\nC001,80\n"))[0]).toContain(
      'did you mean "plate_temperature [degC]"?',
    );
  });

  test("reads a unit in round brackets, and other words of the trade", () => {
    const header = "coupon,Amps (A),TS (mm/min),WFS (m/min),cup,Bead width (mm)";
    const { study } = importInto(plannedStudy(), `${header}\nX1,150,180,1.2,small,5\n`);
    expect(couponOf(study, "X1").settings).toMatchObject({
      current: 150,
      travel_speed: 180,
      wire_feed_speed: 1200,
    });
    expect(measuredOf(couponOf(study, "X1"), "bead_width")).toBe(5);
  });

  test("refuses a size below 0", () => {
    expect(faultsOf(() => importInto(plannedStudy(), "coupon,bead_width [mm]\nC001,-6\n"))[0]).toMatch(
      /^results\.csv:2, "bead_width \[mm\]": bead_width cannot be below 0, got -6; check the sign/,
    );
  });

  test("tells faults of the heading and of the rows, and a coupon that stands twice, at once", () => {
    const text = "coupon,bead_width [A],sound_bead\nC001,5,maybe\nC001,5,yes\n";
    const told = faultsOf(() => importInto(plannedStudy(), text)).join("\n");
    expect(told).toMatch(/:1, "bead_width \[A\]": A is a unit of current/);
    expect(told).toMatch(/:2, "sound_bead": must be one of two answers/);
    expect(told).toMatch(/:3, "coupon": stands on line 2 already/);
  });

  test("does not take other results at settings that were logged for the same coupon", () => {
    const header = `${HEADER.replace("coupon,", "")},bead_width [mm]`;
    const { study } = importInto(newStudy(), `${header}\n${SETTINGS},5.1\n`);
    const more = importInto(study, `${header}\n${SETTINGS},5.4\n110,90,900,large,6\n`);
    expect(more.skipped).toEqual([]);
    expect(more.study.coupons.map((coupon) => measuredOf(coupon, "bead_width"))).toEqual([5.1, 5.4, 6]);
  });

  test("takes a coupon that was never planned from its first line, and tells a second line of it", () => {
    const told = faultsOf(() =>
      importInto(newStudy(), `${HEADER},bead_width [mm]\nC900,${SETTINGS},5.1\nC900,${SETTINGS},5.2\n`),
    ).join("\n");
    expect(told).toMatch(/:3, "coupon": stands on line 2 already/);
  });

  test("reads a unit in the only cell of a column without one", () => {
    const { study } = importInto(plannedStudy(), "coupon,bead_width\nC001,5/64 in\n");
    expectDigits(measuredOf(couponOf(study, "C001"), "bead_width")!, (5 / 64) * 25.4, 14);
  });

  test("understands headers with capitals and blanks", () => {
    const { study } = importInto(plannedStudy(), "Coupon, Bead Width [mm]\nC001,5\n");
    expect(measuredOf(couponOf(study, "C001"), "bead_width")).toBe(5);
  });
});

describe("importCsv finds every fault", () => {
  const text = [
    "coupon,bead_width [mm],sound_bead,cup",
    "C001,5.2 V,yes,small",
    "C002,n/a,maybe,small",
    "C002,#DIV/0!,yes,small",
    "C003,5.4,yes,huge",
    "C004,5.4,yes,small",
    "C003,5.5,yes,large,9",
  ].join("\n");
  const expected = [
    'results.csv:2, "bead_width [mm]": is a voltage; a length is wanted here, such as mm, um, cm, m, got "5.2 V"',
    'results.csv:3, "bead_width [mm]": is not a number; leave the cell empty when nothing was measured, got "n/a"',
    'results.csv:3, "sound_bead": must be one of two answers: write yes or no (true/false, pass/fail, good/bad, ok/nok, y/n, 1/0, ja/nein, oui/non and si/no are read too), or leave the cell empty, got "maybe"',
    'results.csv:4, "bead_width [mm]": is a spreadsheet error, not a number; mend the sheet or leave the cell empty, got "#DIV/0!"',
    'results.csv:4, "coupon": stands on line 3 already; give each row its own coupon, got "C002"',
    'results.csv:5, "cup": must be one of small, large, got huge, got "huge"',
    ...["current", "travel_speed", "wire_feed_speed"].map(
      (name) => `results.csv:6, "${name}": coupon C004 needs its setting of ${name}`,
    ),
    'results.csv:7, "column 5": the row has 5 cells for 4 columns: a comma inside a number or text needs quotes, or ; as separator, got "9"',
  ];

  test("with line and column, and imports nothing", () => {
    const study = plannedStudy();
    expect(faultsOf(() => importInto(study, text))).toEqual(expected);
    expect(verifyJournal(study.folder).entries).toBe(3);
  });

  test("and imports the good rows alone when asked", () => {
    const good = `${text}\nC001,5.6,yes,small\n`;
    const { study, logged, faults: left } = importInto(plannedStudy(), good, { acceptGood: true });
    expect(logged).toEqual(["C001"]);
    expect(couponOf(study, "C001").results).toEqual(
      results({ measured: { bead_width: 5.6 }, passed: { sound_bead: true } }),
    );
    expect(left.map(({ line }) => line)).toEqual([2, 3, 3, 4, 5, 6, 6, 6, 7]);
  });

  test.each([
    [
      "coupon,travel_sped [mm/min],bead_width [mm]",
      'results.csv:1, "travel_sped [mm/min]": is no column of this study; did you mean "travel_speed [mm/min]"?',
    ],
    [
      "coupon,bead_width",
      'results.csv:1, "bead_width": needs its unit; write "bead_width [mm]" (or mm, um, cm, m, in, ft)',
    ],
    [
      "coupon,bead_width (furlong)",
      'results.csv:1, "bead_width (furlong)": is no column of this study; did you mean "bead_width [mm]"?',
    ],
    [
      "coupon,bead_width [A]",
      'results.csv:1, "bead_width [A]": A is a unit of current; for bead_width write one of mm, um, cm, m, in, ft',
    ],
    [
      "coupon,bead_width [parsec]",
      'results.csv:1, "bead_width [parsec]": unknown unit "parsec"; for bead_width write one of mm, um, cm, m, in, ft',
    ],
    [
      "coupon,sound_bead [V]",
      'results.csv:1, "sound_bead [V]": holds no number, so it has no unit; write "sound_bead"',
    ],
    [
      "coupon,bead_width [mm],Bead width [in]",
      'results.csv:1, "Bead width [in]": the column stands twice (also "bead_width [mm]"); remove one',
    ],
    [
      "coupon,arc_voltage [kV]",
      'results.csv:1, "arc_voltage [kV]": unknown unit "kV"; write one such as A, V, mm, mm/min, L/min, degC, kJ/mm, 1',
    ],
    ["coupon,", 'results.csv:1, "column 2": has values but no header; name it'],
  ])("in the header %s", (header, fault) => {
    expect(faults(`${header}\nC001,5,5\n`).filter((line) => line.includes(":1, "))).toContain(fault);
  });

  test.each([
    ["", "results.csv:1: is empty; the first row must name the columns"],
    ["coupon,bead_width [mm]\n", "results.csv:1: names columns, but no row follows"],
    [
      "coupon,a;b\n1,2;3",
      "results.csv:1: the header holds both , and ; outside quotes: which one separates? Use one only",
    ],
    [
      'coupon,bead_width [mm]\nC001,"5',
      "results.csv:2: a quote is open or stands inside a cell (Quote Not Closed: the parsing is finished with an opening quote at line 2)",
    ],
    [
      "coupon;bead_width [mm]\nC001;1.250\n",
      'results.csv:2, "bead_width [mm]": could be a decimal number or thousands, and no number of the file settles it: state the decimal mark (--decimal , or --decimal .), or write thousands without a mark, got "1.250"',
    ],
    [
      "coupon;bead_width [mm]\nC001;5,2\nC002;5.3\n",
      'results.csv:3, "bead_width [mm]": must be written with the decimal mark ",", as the other numbers of the file, and without marks between thousands, got "5.3"',
    ],
    [
      "coupon,bead_width [mm]\nC001,05/02/2026\n",
      'results.csv:2, "bead_width [mm]": looks like a date: the spreadsheet may have changed a number into one; format the column as text and type it again, got "05/02/2026"',
    ],
    [
      "coupon,bead_width [mm]\nC001,1 250\n",
      'results.csv:2, "bead_width [mm]": must be written without marks between thousands, got "1 250"',
    ],
    [
      "coupon,bead_width [mm],bead_width_1 [mm],bead_width_2 [mm]\nC001,5,6,7\n",
      'results.csv:2, "bead_width [mm]": is not the mean of its station readings (6.50000); leave one of them out, got "5"',
    ],
    [
      "coupon,sound_bead\nC001,yes\nC001,no\n",
      'results.csv:3, "coupon": stands on line 2 already; give each row its own coupon, got "C001"',
    ],
    ["coupon,bead_width [mm]\nC001,\0\n", "results.csv:1: is not a text file; save it as CSV (UTF-8)"],
  ])("in the file %j", (file, fault) => {
    expect(faults(file)).toEqual([fault]);
  });

  test("but reads doubtful numbers when the decimal mark is stated", () => {
    const text = "coupon;bead_width [mm]\nC001;1.250\n";
    const { study } = importInto(plannedStudy(), text, { decimal: "." });
    expect(measuredOf(couponOf(study, "C001"), "bead_width")).toBe(1.25);
    expect(faults(text, { decimal: "," })).toEqual([
      'results.csv:2, "bead_width [mm]": must be written with the decimal mark ",", as the other numbers of the file, and without marks between thousands, got "1.250"',
    ]);
  });

  test("one wrong cell, one row too long or a setting no rig runs hide no other", () => {
    const text = [
      `${HEADER},bead_width [mm]`,
      `N1,${SETTINGS},"5,9"`,
      "N2,120,0,1000,small,n/a",
      `N3,${SETTINGS},5.9,7`,
      "N4,120,0,1000,small,5.9",
    ].join("\n");
    const whyImpossible: ImportOptions["whyImpossible"] = (name, { value }) =>
      name === "travel_speed" && value <= 0 ? "must be above 0" : undefined;
    expect(
      faults(text, { whyImpossible }).map((line) => line.replace(/: (must|is|the row).*, got/, "")),
    ).toEqual([
      'results.csv:2, "bead_width [mm]" "5,9"',
      'results.csv:3, "bead_width [mm]" "n/a"',
      'results.csv:3, "travel_speed [mm/min]" "0"',
      'results.csv:4, "column 7" "7"',
      'results.csv:5, "travel_speed [mm/min]" "0"',
    ]);
    // Alone it refuses nothing: the record takes what was measured as it stands.
    const alone = text.split("\n").filter((_, i) => i === 0 || i === 4);
    expect(importInto(plannedStudy(), alone.join("\n"), { whyImpossible }).logged).toEqual(["N4"]);
  });

  test("a new column named nearly like one of the study is taken, and said to look like it", () => {
    const { notes } = importInto(
      plannedStudy(),
      "coupon,bead_width [mm],wdith [mm],arc_voltage [V]\nC001,5.2,5.3,12\n",
    );
    expect(notes.filter((note) => note.includes("looks like"))).toEqual([
      '"wdith [mm]" is kept as a column of its own; it looks like bead_width: mend the heading if that is meant',
    ]);
  });

  test("any other column of numbers settles a doubtful mark", () => {
    const { study } = importInto(
      plannedStudy(),
      "coupon;bead_width [mm];spare\nC001;1,250;0,5\nC002;1,300;2\n",
    );
    expect(measuredOf(couponOf(study, "C001"), "bead_width")).toBe(1.25);
  });

  test("and names the line of a row behind cells with line breaks and an instruction line", () => {
    const file = 'sep=;\r\ncoupon;note;bead_width [mm]\r\nC001;"a\r\nb";5,2\r\n\r\nC002;;x2\r\n';
    expect(faults(file)).toEqual([
      'results.csv:6, "bead_width [mm]": does not begin with a number: write a number and its unit, such as 1.2 mm, 5/64 in or 18 AWG, got "x2"',
    ]);
  });
});

describe("importCsv reads bytes", () => {
  const text = "coupon,bead_width [mm],note\nC001,5.2,20 µm burr\n";
  const utf16 = (bigEndian: boolean): Uint8Array => {
    const bytes = Buffer.from(`\uFEFF${text}`, "utf16le");
    return bigEndian ? bytes.swap16() : bytes;
  };
  test.each([
    ["UTF-8", Buffer.from(text)],
    ["UTF-8 with byte order mark", Buffer.from(`\uFEFF${text}`)],
    ["UTF-16, little end first", utf16(false)],
    ["UTF-16, big end first", utf16(true)],
    ["Windows-1252", Buffer.from(text, "latin1")],
  ])("in %s", (_name, bytes) => {
    const { study } = importInto(plannedStudy(), bytes);
    expect(couponOf(study, "C001")).toMatchObject({
      results: results({ measured: { bead_width: 5.2 } }),
      notes: ["20 µm burr"],
    });
  });
});

describe("exportCsv", () => {
  test.each(["=1+1", "+49 170", "-x", "@SUM(A1)", "\t=1", "'=1", '=HYPERLINK("http://x";"y")', "＝1"])(
    "never lets a spreadsheet run the note %j",
    (note) => {
      const study = appendEntries(newStudy(), [
        { kind: "logged", coupon: "C001", values: settings, note: note.trim() },
      ]);
      const csv = exportCsv(study);
      const cell = /,"((?:[^"]|"")*)"\n$/.exec(csv)?.[1];
      expect(cell).toMatch(/^'/);
      expect(importInto(newStudy(), csv).study.coupons[0]?.notes).toEqual([note.trim()]);
    },
  );

  test("writes units in the header and leaves cells empty", () => {
    const [header, row] = exportCsv(plannedStudy()).split("\n");
    expect(header).toBe(
      "coupon,run_order,state,role,day,tungsten_grind,current [A],travel_speed [mm/min],wire_feed_speed [mm/min],cup,bead_width [mm],bead_height [mm],sound_bead,looks,note",
    );
    expect(row).toBe("C001,1,planned,,,,120,100,1000,small,,,,,");
  });

  test("refuses a decimal comma between commas", () => {
    expect(() => exportCsv(newStudy(), { decimal: ",", separator: "," })).toThrow(/needs ; or a tab/);
  });
});
