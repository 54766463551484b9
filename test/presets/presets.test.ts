import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../lib/errors/index.js";
import {
  cautionsFor,
  formatPreset,
  makePreset,
  PRESET_SCHEMA,
  type Preset,
  parsePreset,
  presetJsonSchema,
} from "../../lib/presets/index.js";
import { VERSION } from "../../lib/presets/preset/version.js";
import { appendEntries } from "../../lib/study/index.js";
import type { Recommendation } from "../../lib/window/index.js";
import { faultsOf, fixedClock, newStudy } from "../study/support.js";
import { fc } from "../support/properties.js";
import { recommendation as sample } from "./sample.js";

const recommendation: Recommendation = {
  ...sample,
  settings: [
    { factor: "current", value: 121, unit: "A" },
    { factor: "travel_speed", value: 1 / 3, unit: "mm/s" },
    { factor: "cup", value: "large", unit: "1" },
  ],
  ranges: [
    ...sample.ranges,
    { factor: "cup", unit: "1", best: "large", low: "large", high: "large", aloneLow: "a", aloneHigh: "b" },
  ],
  coupons: 24,
};
const study = newStudy({ rig: { settings: { arc_voltage: "12.5 V", standoff: "3 mm" } } });
const made = new Date("2026-04-01T10:00:00+02:00");
const preset = makePreset(study, recommendation, made);
const changed = (change: (copy: Record<string, unknown>) => void): string => {
  const copy = JSON.parse(formatPreset(preset));
  change(copy);
  return JSON.stringify(copy);
};

test("the version a preset names is the package's", () => {
  expect(VERSION).toBe(
    JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8")).version,
  );
});

describe("makePreset", () => {
  test("says settings, what the rig held, chances and the ranges that hold together, not those alone", () => {
    expect(preset).toMatchObject({
      schema: PRESET_SCHEMA,
      study: "example",
      process: "141",
      wire: { diameter: { value: 1.2, unit: "mm" } },
      made: "2026-04-01T08:00:00.000Z",
      held: [
        { name: "arc_voltage", value: 12.5, unit: "V" },
        { name: "standoff", value: 3, unit: "mm" },
      ],
      checks: [{ name: "sound_bead", chance: 0.98 }],
      chance: { value: 0.94, lower: 0.88, upper: 0.97 },
    });
    const { low, high, alone } = preset.window.ranges[0]!;
    expect([low, high, alone]).toEqual([113, 129, { low: 105, high: 138 }]);
    expect(preset.cautions).toEqual(cautionsFor("141"));
  });

  test("names the record it rests on: the journal's last entry, none where nothing was logged", () => {
    expect(preset.basis).toEqual({ coupons: 24, seed: 7, model: expect.stringContaining(VERSION) });
    const noted = appendEntries(newStudy(), [{ kind: "note", text: "new tungsten" }], { clock: fixedClock });
    const { basis } = makePreset(noted, recommendation, made);
    expect(basis.journal).toBe(noted.entries.at(-1)!.hash);
    expect(basis.journal).toMatch(/^[0-9a-f]{64}$/);
  });
});

describe("a preset as JSON", () => {
  test("reads back as it was written, whatever its numbers and names", () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true }).map((value) => value + 0);
    const size = fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => value + 0);
    const setting = fc.record({
      name: fc.string(),
      value: fc.oneof(size, fc.string({ unit: "binary" })),
      unit: fc.string(),
    });
    fc.assert(
      fc.property(fc.array(setting, { minLength: 1, maxLength: 5 }), share, size, (settings, chance, low) => {
        const other: Preset = {
          ...preset,
          settings,
          chance: { value: chance, lower: 0, upper: 1 },
          window: { ...preset.window, ranges: [{ name: "current", unit: "A", low, high: "any" }] },
        };
        expect(parsePreset(formatPreset(other))).toEqual(other);
        const written = formatPreset(parsePreset(formatPreset(other)));
        expect(formatPreset(parsePreset(written))).toBe(written);
      }),
    );
    expect(formatPreset(preset).endsWith("}\n")).toBe(true);
  });

  test("is refused with the path and rule of every fault, and nothing is read in part", () => {
    const broken = changed((copy) => {
      copy.settings = [];
      copy.chance = { value: 1.2, lower: 0, upper: 1 };
      copy.made = "yesterday";
      delete copy.process;
      copy.weather = "fine";
    });
    const faults = faultsOf(() => parsePreset(broken, "ring.json"));
    for (const path of ["settings", "chance.value", "made", "process"])
      expect(faults.filter((fault) => fault.includes(`, "${path}": `))).toHaveLength(1);
    expect(faults).toContain(`ring.json:1, "process": is missing; must be a text`);
    expect(faults.join("\n")).toContain("weather");
    expect(faults).toHaveLength(5);
  });

  test("a file of another kind is told by its schema alone; one cut short by its place", () => {
    const foreign = faultsOf(() => parsePreset('{"schema":"beadbench/study/1","name":"x"}', "study.json"));
    expect(foreign).toHaveLength(1);
    expect(foreign[0]).toContain(`study.json:1, "schema": must be "${PRESET_SCHEMA}"`);
    for (const text of ["", "[", formatPreset(preset).slice(0, 200), "null", "[]", "7"]) {
      const faults = faultsOf(() => parsePreset(text, "cut.json"));
      expect(faults.length, text).toBeGreaterThan(0);
      expect(faults.join(), text).toContain("cut.json");
    }
  });

  test("the published JSON Schema asks for what the reader asks for", () => {
    const { $schema, required } = presetJsonSchema() as { $schema: string; required: string[] };
    expect($schema).toBe("https://json-schema.org/draft/2020-12/schema");
    const free = ["wire", "base", "gas", "rig", "schedule"];
    const fields = Object.keys(preset).filter((name) => !free.includes(name));
    for (const field of fields) {
      expect(required).toContain(field);
      expect(
        faultsOf(() => parsePreset(changed((copy) => delete copy[field]))),
        field,
      ).not.toEqual([]);
    }
    for (const field of free) {
      expect(required).not.toContain(field);
      expect(
        faultsOf(() => parsePreset(changed((copy) => delete copy[field]))),
        field,
      ).toEqual([]);
    }
  });
});

describe("cautionsFor", () => {
  test("names every hazard of arc work for every process, and eyewear by the radiation it has", () => {
    // Hazards that ANSI Z49.1 treats in chapters of their own, from memory: radiation, fume, gas, shock, fire, burns.
    const hazards = [/eyes|eyewear/i, /fume/i, /asphyxiates/i, /voltage/i, /fire watch/i, /hot metal/i];
    for (const process of ["111", "121", "114", "131", "132", "135", "136", "138", "141", "15", "151", "52"])
      for (const hazard of hazards)
        expect(
          cautionsFor(process).some((caution) => hazard.test(caution)),
          `${process}: ${hazard}`,
        ).toBe(true);
    expect(cautionsFor("52").join()).toMatch(/laser eyewear/);
    expect(cautionsFor("52").join()).not.toMatch(/arc radiation/i);
    expect(cautionsFor("141").join()).toMatch(/arc radiation/i);
  });

  test("refuses a process it does not know, and names those it does", () => {
    for (const process of ["", "9", "TIG", "-141"]) {
      expect(() => cautionsFor(process)).toThrow(BeadbenchError);
      expect(() => cautionsFor(process)).toThrow(/ISO 4063 number: .*141/);
    }
  });
});
