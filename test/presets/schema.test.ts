import { readFileSync } from "node:fs";
import Ajv2020 from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { describe, expect, test } from "vitest";
import {
  formatPreset,
  machineJsonSchema,
  parsePreset,
  parseSchedule,
  presetDoubts,
  presetJsonSchema,
  withSchedule,
  writePreset,
} from "../../lib/presets/index.js";
import { faultsOf } from "../study/support.js";
import { proven, weak } from "./sample.js";

const read = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");
/** An independent validator of JSON Schema. */
const ajv = new Ajv2020.default({ allErrors: true, strictTypes: false });
addFormats.default(ajv);

const schedule = parseSchedule(
  JSON.stringify({
    layers: [
      {
        layer: 1,
        rise: 0,
        settings: { current: { value: 118, unit: "A" } },
        dwell: 12,
        standoff: 3,
        standoffLow: 2.8,
        standoffHigh: 3.2,
        relevel: true,
        growth: 1.6,
        growthLow: 1.4,
        growthHigh: 1.8,
      },
    ],
    path: 188.5,
    settings: {},
    interpass: 150,
    relevelEvery: null,
    bare: "left out",
  }),
);

describe("the JSON Schema of a preset", () => {
  const validate = ajv.compile(JSON.parse(read("schemas/preset-2.json")));

  test("that the package ships is the one the reader goes by, and so is that of machine maps", () => {
    expect(JSON.parse(read("schemas/preset-2.json"))).toEqual(presetJsonSchema());
    expect(JSON.parse(read("schemas/machine-1.json"))).toEqual(machineJsonSchema());
    expect(JSON.parse(read("package.json")).files).toContain("schemas");
    const machine = ajv.compile(JSON.parse(read("schemas/machine-1.json")));
    expect(machine(JSON.parse(read("data-demo/machine.json"))), JSON.stringify(machine.errors)).toBe(true);
  });

  test("takes every preset written, with a schedule, in doubt, and exported", () => {
    for (const text of [
      formatPreset(proven),
      formatPreset(weak),
      formatPreset(withSchedule(proven, schedule)),
      writePreset(weak, "preset-json", { unproven: true }).text,
    ])
      expect(validate(JSON.parse(text)), JSON.stringify(validate.errors)).toBe(true);
  });

  test("refuses what the reader refuses", () => {
    const spoil: readonly ((copy: Record<string, unknown>) => unknown)[] = [
      (copy) => delete copy.sequence,
      (copy) => delete copy.review,
      (copy) => Object.assign(copy, { made: "yesterday" }),
      (copy) => Object.assign(copy, { weather: "fine" }),
      (copy) => Object.assign(copy, { settings: [] }),
      (copy) => Object.assign(copy, { chance: { value: 1.5, lower: 0, upper: 1 } }),
      (copy) => Object.assign(copy, { review: { by: "soon", sooner: "" } }),
      (copy) => Object.assign(copy, { limits: [{ name: "x", unit: "1", value: 1, binds: "yes" }] }),
    ];
    for (const [i, change] of spoil.entries()) {
      const copy = JSON.parse(formatPreset(proven)) as Record<string, unknown>;
      change(copy);
      expect(validate(copy), String(i)).toBe(false);
      expect(
        faultsOf(() => parsePreset(JSON.stringify(copy))),
        String(i),
      ).not.toEqual([]);
    }
  });
});

describe("a preset of the first version", () => {
  // As that version's program wrote it of the demo study.
  const text = read("test/presets/fixtures/preset-1.json");

  test("is read, keeps what it said, and says what it did not tell", () => {
    const old = JSON.parse(text);
    const preset = parsePreset(text);
    expect(preset.schema).toBe("beadbench/preset/2");
    for (const field of [
      "study",
      "process",
      "wire",
      "made",
      "settings",
      "held",
      "predicted",
      "checks",
      "chance",
    ])
      expect(preset[field as keyof typeof preset], field).toEqual(old[field]);
    expect(preset.window).toEqual({ asked: old.window.level, ...old.window });
    expect(preset.basis).toMatchObject(old.basis);
    expect(preset.sequence.stop.find(({ name }) => name === "down_slope")?.origin).toBe("assumed");
    expect(presetDoubts(preset)).toEqual([
      "does not tell what was tried of current, travel speed, wire feed speed, stand-off",
    ]);
    const validate = ajv.compile(presetJsonSchema());
    expect(validate(JSON.parse(formatPreset(preset))), JSON.stringify(validate.errors)).toBe(true);
    expect(parsePreset(formatPreset(preset))).toEqual(preset);
  });

  test("whose level no setting reached is in doubt by what was asked of it", () => {
    const copy = JSON.parse(text);
    copy.window.level = 0.04;
    copy.chance = { value: 0.05, lower: 0, upper: 0.2 };
    // In the words of that version.
    const message = "no setting reaches a chance of 0.8; the best known one has 0.050";
    copy.findings.push({ code: "level-not-reached", severity: "warning", message });
    expect(presetDoubts(parsePreset(JSON.stringify(copy)))[0]).toBe("has a chance of 5 %, asked 80 %");
  });

  test("is refused by path and rule where it is broken", () => {
    const copy = JSON.parse(text);
    delete copy.settings;
    copy.chance.value = 3;
    const faults = faultsOf(() => parsePreset(JSON.stringify(copy), "old.json"));
    expect(faults.map((fault) => /"(.*?)"/.exec(fault)?.[1])).toEqual(["chance.value", "settings"]);
  });
});
