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
      "arc_voltage varies from 18.5 to 20 V: taken as a factor",
      "travel_speed varies from 300 to 450 mm/min: taken as a factor",
      "gas_flow is 12 L/min throughout: taken as a setting held constant",
      "sound_bead holds only yes and no: taken as pass/fail, where yes is good",
      "finish holds text: kept as a note on each coupon",
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
      "coupon,feed\nA,3\nB,4",
      'line 1, "feed": holds numbers without a unit; write "feed [unit]", or [1] for a plain number',
    ],
    [
      "coupon,feed [mph]\nA,3\nB,4",
      'line 1, "feed [mph]": unknown unit "mph"; write one such as A, V, mm, mm/min, L/min, degC, kJ/mm, 1',
    ],
    ["coupon,current [A]\nA,3\nB,4", '"responses": needs at least one response'],
    ["coupon,bead_width [mm]\nA,3\nB,4", '"factors": needs at least one factor'],
  ])("refuses %j", (csv, fault) => {
    expect(faultsOf(() => draftDefinitionFromCsv(csv, options))[0]).toContain(fault);
  });
});
