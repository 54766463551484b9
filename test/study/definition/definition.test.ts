import { describe, expect, test } from "vitest";
import { parseStudyDefinition } from "../../../lib/study/index.js";
import { exampleDefinition, faultsOf } from "../support.js";

const changed = (changes: object): object => ({ ...exampleDefinition, ...changes });
const factor = (changes: object): object =>
  changed({ factors: [{ name: "current", unit: "A", low: 90, high: 150, ...changes }], limits: [] });
const response = (changes: object): object =>
  changed({ responses: [{ name: "bead_width", unit: "mm", ...changes }] });
const faults = (json: unknown): readonly string[] => faultsOf(() => parseStudyDefinition(json, "study.json"));

describe("parseStudyDefinition", () => {
  const definition = parseStudyDefinition(exampleDefinition);

  test("fills defaults and completes factors", () => {
    expect(definition.factors[0]).toEqual({
      name: "current",
      unit: "A",
      kind: "continuous",
      change: "easy",
      low: 90,
      high: 150,
    });
    expect(definition.factors[3]).toMatchObject({ unit: "1", low: 0, high: 1, change: "hard" });
    expect(definition.responses[2]).toEqual({
      name: "sound_bead",
      kind: "passFail",
      unit: "1",
      scale: "linear",
    });
    expect(definition.seed).toBe(1);
  });

  test("reads a quantity written as one text", () => {
    expect(definition.wire?.diameter).toEqual({ value: 1.2, unit: "mm" });
    expect(definition.gas?.flow).toEqual({ value: 10, unit: "L/min" });
  });

  test("gives what it read when read again, and survives JSON", () => {
    expect(parseStudyDefinition(definition)).toEqual(definition);
    expect(JSON.parse(JSON.stringify(definition))).toEqual(definition);
  });

  test("lists the levels of a discrete factor from its step", () => {
    const levels = parseStudyDefinition(factor({ kind: "discrete", low: 0.8, high: 1.4, step: 0.2 }))
      .factors[0]?.levels;
    expect(levels).toEqual([0.8, 1, 1.2, 1.4]);
  });

  test("takes a choice whose levels were edited in a file that a program had completed", () => {
    const cup = { name: "cup", kind: "category", unit: "1", low: 0, high: 2, levels: ["no_6", "no_8"] };
    const { factors } = parseStudyDefinition(
      changed({ factors: [...exampleDefinition.factors.slice(0, 3), cup] }),
    );
    expect(factors.at(-1)).toMatchObject({ levels: ["no_6", "no_8"], high: 1 });
  });

  test.each([
    [
      "a missing field",
      changed({ wire: undefined }),
      '"wire": is missing, though wire_feed_speed is set; write "wire": { "classification": "ER308L", "diameter": "1.2 mm" }',
    ],
    ["an unknown field", changed({ proces: "141" }), '"proces": unknown field; did you mean "process"?'],
    [
      "an unknown field deep inside",
      factor({ hihg: 3 }),
      '"factors[0].hihg": unknown field; did you mean "high"?',
    ],
    [
      "an unknown unit",
      factor({ unit: "furlong" }),
      '"factors[0].unit": unknown unit; write one such as A, V, mm, mm/min, L/min, degC, kJ/mm, 1, got "furlong"',
    ],
    ["a number as text", factor({ low: "90" }), '"factors[0].low": must be a number, got "90"'],
    ["low above high", factor({ low: 160 }), '"factors[0].low": must be below high (150), got "160"'],
    [
      "a factor without levels",
      factor({ kind: "category", low: undefined, high: undefined, unit: undefined }),
      '"factors[0].levels": is missing; list the names, such as ["fresh", "worn"]',
    ],
    [
      "a step that does not fit",
      factor({ step: 100 }),
      '"factors[0].step": must fit between low and high (60), got "100"',
    ],
    [
      "a name in capitals",
      factor({ name: "Current" }),
      '"factors[0].name": must be snake_case: small letters, digits and single _ between them, such as travel_speed, got "Current"',
    ],
    [
      "a name of the CSV",
      factor({ name: "coupon" }),
      '"factors[0].name": the name is taken by a column of the CSV; choose another, got "coupon"',
    ],
    [
      "a measured response without unit",
      response({ unit: undefined }),
      '"responses[0].unit": is missing; write one such as "mm"',
    ],
    [
      "a spec upside down",
      response({ spec: { lower: 6, upper: 4 } }),
      '"responses[0].spec": needs lower <= target <= upper, got "6, 4"',
    ],
    [
      "a log scale with a spec at 0",
      response({ scale: "log", spec: { lower: 0 } }),
      '"responses[0].spec": must be above 0 on the scale "log", got "0"',
    ],
    [
      "a spec on pass/fail",
      response({ kind: "passFail", unit: "1", spec: { lower: 1 } }),
      '"responses[0].spec": a passFail response has no spec: passing is the spec; remove it',
    ],
    [
      "a limit without bound",
      changed({ limits: [{ quantity: "arc_energy", unit: "kJ/mm" }] }),
      '"limits[0]": needs min, max or both',
    ],
    [
      "a limit on an unknown factor",
      changed({ limits: [{ terms: { curent: 1 }, max: 2 }] }),
      '"limits[0].terms.curent": is no factor with numbers; did you mean "current"?',
    ],
    [
      "a process of another standard",
      changed({ process: "GTAW" }),
      '"process": must be an ISO 4063 process number as text, such as "141", "135" or "521", got "GTAW"',
    ],
    [
      "a wire diameter in volts",
      changed({ wire: { classification: "x", diameter: "1.2 V" } }),
      '"wire.diameter": is a voltage; a length is wanted here, such as mm, um, cm, m, got "1.2 V"',
    ],
    [
      "a gas of no standard",
      changed({ gas: { code: "argon" } }),
      '"gas.code": must be an ISO 14175 designation, such as "I1" for argon or "M21" for argon with 15-25 % CO2, got "argon"',
    ],
    ["no object at all", [], '"(top)": must be an object { ... }, got "[]"'],
  ])("names path, value and mend for %s", (_case, json, expected) => {
    expect(faults(json)).toEqual([`study.json, ${expected}`]);
  });

  test("lists all faults at once", () => {
    const found = faults(
      changed({ name: "", seed: -1, process: 141, factors: [{ name: "current", unit: "A" }] }),
    );
    expect(found.map((fault) => /"([^"]*)"/.exec(fault)?.[1])).toEqual(["name", "process", "seed"]);
    expect(faults(factor({ low: undefined, high: undefined }))).toHaveLength(2);
  });

  test("refuses two columns of one name and a name that reads like a station", () => {
    const twice = changed({ blocks: ["current"] });
    expect(faults(twice)).toEqual([
      'study.json, "blocks[0]": the name is taken by factors[0].name; choose another, got "current"',
    ]);
    const station = changed({ blocks: ["bead_width_2"] });
    expect(faults(station)[0]).toContain('reads like a station of the response "bead_width"');
  });
});
