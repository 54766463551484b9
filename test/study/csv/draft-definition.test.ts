import { describe, expect, test } from "vitest";
import { createStudy, draftDefinitionFromCsv, importCsv } from "../../../lib/study/index.js";
import { faultsOf, newFolder } from "../support.js";

const options = {
  name: "first try",
  process: "135",
  wire: { classification: "ISO 14341-A G 42 4 M21 3Si1", diameter: { value: 1.2, unit: "mm" } },
} as const;

const text = [
  "coupon;arc_voltage [V];travel_speed [mm/min];gas_flow [L/min];bead_width_1 [mm];bead_width_2 [mm];toe_angle [deg];burn_mark [1];sound_bead;day;operator;finish",
  "B1;18,5;300;12;5,1;5,25;40;3;yes;1;Ilse;bright",
  "B2;20;450;12;6;6,2;;4;no;1;Ilse;dull",
].join("\n");

describe("draftDefinitionFromCsv", () => {
  const { definition, notes } = draftDefinitionFromCsv(text, { ...options, responses: ["burn_mark"] });

  test("tells factors, held settings, responses and blocks apart", () => {
    expect(definition.factors.map(({ name, unit, low, high }) => [name, unit, low, high])).toEqual([
      ["arc_voltage", "V", 18.5, 20],
      ["travel_speed", "mm/min", 300, 450],
    ]);
    expect(definition.rig?.settings).toEqual({ gas_flow: { value: 12, unit: "L/min" } });
    expect(definition.responses.map(({ name, unit, kind }) => [name, unit, kind])).toEqual([
      ["bead_width", "mm", "measured"],
      ["toe_angle", "deg", "measured"],
      ["burn_mark", "1", "measured"],
      ["sound_bead", "1", "passFail"],
    ]);
    expect(definition.blocks).toEqual(["day", "operator"]);
  });

  test("says what it assumed", () => {
    expect(notes).toEqual([
      "arc_voltage varies from 18.5 to 20 V: taken as a factor, a word for what is set",
      "travel_speed varies from 300 to 450 mm/min: taken as a factor, a word for what is set",
      "gas_flow is 12 L/min throughout: taken as a setting held constant, a word for what is set",
      "bead_width: taken as a result, it was read at stations",
      "toe_angle: taken as a result, a word for what is measured",
      "burn_mark: taken as a result, as --results says",
      "sound_bead holds only yes and no: taken as pass/fail, where yes is good",
      "finish holds text: kept as a note on each coupon; if set, add --settings finish, if a day or the like, --blocks finish",
    ]);
  });

  test("makes a study that reads the file it was drafted from", () => {
    const { study } = importCsv(createStudy(newFolder(), definition), text);
    expect(study.coupons[0]).toMatchObject({
      id: "B1",
      settings: { arc_voltage: 18.5, travel_speed: 300 },
      results: { bead_width: { kind: "measured", scatter: { readings: [5.1, 5.25] } } },
      context: { gas_flow: { value: 12, unit: "L/min" } },
      notes: ["finish: bright"],
    });
  });

  test.each([
    [
      "Bead no,current [A]\n1,100\n2,120",
      'line 1, "Bead no": holds numbers without a unit; write "bead_no [unit]", or [1] for a plain number; where it numbers the coupons, call it "coupon"',
    ],
    [
      "coupon,feed\nA,3\nB,4",
      'line 1, "feed": holds numbers without a unit; write "feed [unit]", or [1] for a plain number',
    ],
    [
      "coupon,feed [mph]\nA,3\nB,4",
      'line 1, "feed [mph]": unknown unit "mph"; write one such as A, V, mm, mm/min, L/min, degC, kJ/mm, 1',
    ],
    ["coupon,current [A]\nA,3\nB,4", "no column was measured"],
    ["coupon,bead_width [mm]\nA,3\nB,4", "no setting changes from line to line"],
    [
      "coupon,current [A],bead_width [mm]\nA,3,5\nB,4,n/a\n",
      'line 3, "bead_width [mm]": is not a number; leave the cell empty when nothing was measured, got "n/a"',
    ],
  ])("refuses %j", (csv, fault) => {
    expect(faultsOf(() => draftDefinitionFromCsv(csv, options))[0]).toContain(fault);
  });
});

test("a draft lists every cell that is no number and every setting no rig runs", () => {
  const csv = 'current [A],bead_width [mm]\n1O0,5\n-3,n/a\n120,"5,9"\n120,5.9\n130,6.1\n';
  const whyImpossible = (name: string, { value }: { readonly value: number }) =>
    name === "current" && value < 0 ? "must be above 0" : undefined;
  const faults = faultsOf(() => draftDefinitionFromCsv(csv, { ...options, file: "b.csv", whyImpossible }));
  expect(faults.map((line) => line.replace(/: .*, got/, ""))).toEqual([
    'b.csv:2, "current [A]" "1O0"',
    'b.csv:3, "current [A]" "-3"',
    'b.csv:3, "bead_width [mm]" "n/a"',
    'b.csv:4, "bead_width [mm]" "5,9"',
  ]);
});

describe("words of the trade", () => {
  const draft = (header: string, more: { responses?: string[]; settings?: string[] } = {}) => {
    const names = header.split(",");
    const row = (k: number): string => names.map((_, i) => String(10 * (i + 1) + k)).join(",");
    const { definition, notes } = draftDefinitionFromCsv(
      [`${header},current [A],bead_width [mm]`, `${row(0)},100,5`, `${row(1)},110,6`].join("\n"),
      { ...options, ...more },
    );
    return {
      settings: definition.factors.map(({ name }) => name).filter((name) => name !== "current"),
      results: definition.responses.map(({ name }) => name).filter((name) => name !== "bead_width"),
      notes,
    };
  };

  test.each([
    "reinforcement [mm]",
    "dilution [%]",
    "roughness [um]",
    "toe_angle [deg]",
    "spatter [g]",
    "penetration [mm]",
  ])("%s is a result", (header) =>
    expect(draft(header)).toMatchObject({ settings: [], results: [header.split(" ")[0]] }),
  );

  test.each([
    "torch_angle [deg]",
    "torch_height [mm]",
    "layer_height [mm]",
    "weave_width [mm]",
    "contact_tip_distance [mm]",
    "stickout [mm]",
  ])("%s is a setting", (header) =>
    expect(draft(header)).toMatchObject({ settings: [header.split(" ")[0]], results: [] }),
  );

  test.each([
    ["Wire feed (m/min)", "wire_feed_speed"],
    ["WFS [m/min]", "wire_feed_speed"],
    ["ctwd [mm]", "contact_tip_distance"],
    ["Tip distance (mm)", "contact_tip_distance"],
  ])("%s is read as %s", (header, name) => {
    const { settings, notes } = draft(header);
    expect(settings).toEqual([name]);
    expect(notes.join("\n")).toContain("is another word for it");
  });

  test("the user decides, and what is unknown is said to be assumed", () => {
    expect(draft("layer_height [mm]", { responses: ["layer_height"] }).results).toEqual(["layer_height"]);
    expect(draft("toe_angle [deg]", { settings: ["toe_angle"] }).settings).toEqual(["toe_angle"]);
    const { settings, notes } = draft("frob [mm]");
    expect(settings).toEqual(["frob"]);
    expect(notes.join("\n")).toContain("if measured, add --results frob");
    expect(() => draft("frob [mm]", { responses: ["forb"] })).toThrow(/is no column of the file/);
  });
});

describe("a column of grades", () => {
  const sheet = (heading: string, cells: readonly (number | string)[]): string =>
    [`coupon,current [A],${heading}`, ...cells.map((cell, i) => `G${i + 1},${100 + i},${cell}`)].join("\n");

  test.each(["colour grade", "surface_rating", "Score", "grade [1]"])(
    "%s of whole numbers is drafted as grades, told to grow better with the number, and imported as such",
    (heading) => {
      const csv = sheet(heading, [2, 5, "", 3]);
      const { definition, notes } = draftDefinitionFromCsv(csv, options);
      expect(definition.responses.map(({ kind }) => kind)).toEqual(["grade"]);
      expect(notes.join("\n")).toContain("taken as one, where more is better");
      const { study } = importCsv(createStudy(newFolder(), definition), csv);
      expect(study.coupons.map(({ results }) => [...Object.values(results)])).toMatchObject([
        [{ kind: "grade", grade: 2 }],
        [{ kind: "grade", grade: 5 }],
        [],
        [{ kind: "grade", grade: 3 }],
      ]);
    },
  );

  test("what has a unit, is no whole number or was set is none", () => {
    const kinds = (csv: string, stated = {}): readonly string[] =>
      draftDefinitionFromCsv(csv, { ...options, ...stated }).definition.responses.map(({ kind }) => kind);
    expect(kinds(sheet("rating [mm],bead_width [mm]", ["2,5", "3,6"]))).not.toContain("grade");
    expect(() => kinds(sheet("colour_grade,bead_width [mm]", ["2.5,5", "3.5,6"]))).toThrow(/without a unit/);
    expect(kinds(sheet("steel_grade [1],bead_width [mm]", ["304,5", "316,6"]))).not.toContain("grade");
    expect(kinds(sheet("score [1],bead_width [mm]", ["1,5", "2,6"]), { settings: ["score"] })).toEqual([
      "measured",
    ]);
  });
});
