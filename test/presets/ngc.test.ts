import { describe, expect, test } from "vitest";
import { type Preset, parseMachineMap, presetNgc } from "../../lib/presets/index.js";
import { faultsOf } from "../study/support.js";
import { fc } from "../support/properties.js";
import { type Block, readProgram } from "../support/rs274.js";
import { fullMachine, fullOutputs, plainMachine, proven, weak } from "./sample.js";

const reading = { extended: true, outputs: fullOutputs };
/** Blocks of a subroutine. */
function subroutine(blocks: readonly Block[], name: string): readonly Block[] {
  const at = (what: string): number => blocks.findIndex(({ o }) => o?.name === name && o.what === what);
  return blocks.slice(at("sub") + 1, at("endsub"));
}
const words = (blocks: readonly Block[]): readonly string[] =>
  blocks.map((block) =>
    block.words.map(({ letter, value }) => `${letter}${Math.round(1e6 * value) / 1e6}`).join(" "),
  );

describe("a preset as RS-274/NGC, read by the grammar of NISTIR 6556 with named parameters and subroutines", () => {
  test("sets every number as a parameter in its unit, and in the machine's where its program sets it", () => {
    const { text } = presetNgc(proven, fullMachine);
    const parameters = new Map(
      readProgram(text, reading).flatMap(({ settings }) =>
        settings.map(({ parameter, value }) => [parameter, value]),
      ),
    );
    const at = (name: string) => parameters.get(`<_bead_${name}>`);
    for (const { name, value } of [
      ...proven.settings,
      ...proven.held,
      ...proven.sequence.start,
      ...proven.sequence.stop,
    ])
      if (name !== "wire_feed_speed" && typeof value === "number") expect(at(name), name).toBe(value);
    // 900 mm/min in the map's m/min.
    expect(at("wire_feed_speed")).toBe(0.9);
    expect(text).toContain("#<_bead_current> = 121 (A keep 113 to 129)");
    expect(text).toContain("(setting cup large)");
  });

  test("starts gas, arc, slope, pool, wire, in this order, and stops them the other way", () => {
    const blocks = readProgram(presetNgc(proven, fullMachine).text, reading);
    const start = words(subroutine(blocks, "bead_start"));
    // Pump, fan, end current, feed 0.9 m/min x 2, gas, 2 s, arc.
    expect(start.slice(0, 7)).toEqual(["M64 P3", "M64 P2", "S20", "M67 E0 Q1.8", "M8", "G4 P2", "M3"]);
    const levels = start.flatMap((line) => /^S(.*)$/.exec(line)?.[1] ?? []).map(Number);
    expect(levels.at(-1)).toBe(121);
    expect([...levels].sort((a, b) => a - b)).toEqual(levels);
    expect(start.slice(-3)).toEqual(["G4 P2", "G4 P0", "M64 P0"]);
    const stop = words(subroutine(blocks, "bead_stop"));
    // Wire off, pulled back 5 mm at 20 mm/s, slope down to 20 A in 4 s, arc off, 13 s, gas off.
    expect(stop.slice(0, 5)).toEqual(["M65 P0", "G4 P0", "M64 P1", "G4 P0.25", "M65 P1"]);
    expect(stop.slice(-4)).toEqual(["G4 P0.4", "M5", "G4 P13", "M9"]);
    const waits = stop.slice(5, -3).flatMap((line) => /^G4 P(.*)$/.exec(line)?.[1] ?? []);
    expect(waits.reduce((sum, wait) => sum + Number(wait), 0)).toBeCloseTo(4, 9);
    expect(words(subroutine(blocks, "bead_end"))).toEqual(["M65 P2", "M65 P3"]);
  });

  test("says what the machine has no words for", () => {
    const { lost, text } = presetNgc(proven, plainMachine);
    expect(lost.join("; ")).toMatch(
      /retract of the wire.*to be set by hand: wire_feed_speed, arc_voltage, cup/,
    );
    expect(text).toContain("(NOT CARRIED retract of the wire");
    readProgram(text, { extended: true });
    expect(() =>
      presetNgc({ ...proven, settings: [{ ...proven.settings[0]!, value: 350 }] }, plainMachine),
    ).toThrow(/current 350 A is beyond what the machine map allows, 5 to 200 A/);
  });

  test("holds a user's texts as comments that no interpreter reads as anything else", () => {
    const plain = words(
      readProgram(presetNgc({ ...proven, rig: "x", study: "x" }, fullMachine).text, reading),
    );
    const hostile = fc.oneof(
      fc.string({ unit: "binary" }),
      fc.constantFrom(
        ") M3 (",
        ")\nM3\n(",
        "%",
        "\r\nG0 Z-50",
        "; M3",
        "MSG, M3",
        "#1=5",
        "o<x> call",
        "\u2028M3",
        "（M3）",
        "a".repeat(700),
      ),
    );
    fc.assert(
      fc.property(hostile, hostile, fc.constantFrom(proven, weak), (study, rig, preset) => {
        const other: Preset = {
          ...preset,
          study,
          rig,
          cautions: [study],
          findings: [{ code: "x", severity: "info", message: rig }],
        };
        const { text } = presetNgc(other, fullMachine);
        expect(text).toMatch(/^[\n\x20-\x7e]*$/);
        expect(text).not.toMatch(/[%;]|\(\s*(MSG|DEBUG|PRINT|LOG)/i);
        const blocks = readProgram(text, reading);
        expect(words(blocks).filter((line) => line !== "")).toEqual(plain.filter((line) => line !== ""));
      }),
      { numRuns: 25 },
    );
  });
});

describe("a machine map", () => {
  const good = {
    schema: "beadbench/machine/1",
    name: "rig",
    axes: { x: { min: 0, max: 1 }, y: { min: 0, max: 1 }, z: { min: 0, max: 1 } },
    plate: { x: 0, y: 0, z: 0 },
    fastest: "50 mm/s",
    outputs: { arc: { on: "M3", off: "M5" } },
  };
  const faults = (change: object): readonly string[] =>
    faultsOf(() => parseMachineMap(JSON.stringify({ ...good, ...change }, null, 1), "rig.json"));

  test("is told by file, line and key what is wrong with it", () => {
    expect(faults({})).toEqual([]);
    const [axis, fast, ...rest] = faults({
      axes: { ...good.axes, y: { min: 5, max: 1 } },
      fastest: "50 A",
      outputs: { arc: { on: "M3" }, gas: { on: "M8 M9", off: "M9" } },
    });
    expect(axis).toMatch(/^rig\.json:9, "axes\.y": min must be below max/);
    expect(fast).toMatch(/^rig\.json:23, "fastest": must be a quantity such as "20 mm\/min", got "50 A"/);
    expect(rest[0]).toMatch(/^rig\.json:25, "outputs\.arc\.off": is missing; must be/);
    expect(rest[1]).toMatch(/^rig\.json:29, "outputs\.gas\.on": must be one M or G word .*got "M8 M9"/);
  });

  test.each([
    ["G0 X5", /must be one M or G word/],
    ["G1", /G1 moves the machine/],
    ["G92", /G92 moves the machine or changes/],
    ["M2", /M2 stops, ends or reroutes/],
    ["M98 P5", /M98 stops, ends or reroutes/],
    ["m3", /must be one M or G word/],
    ["M3\nG0 Z-9", /must be one M or G word/],
    ["M3 (x)", /must be one M or G word/],
    ["M64 P1 P2", /holds a letter twice/],
    ["", /must be one M or G word/],
  ])("refuses %j as the words of an output", (on, told) => {
    expect(faults({ outputs: { arc: { on, off: "M5" } } }).join()).toMatch(told);
  });

  test("refuses words of a value that do not end in the letter of a number", () => {
    const value = { unit: "A", low: 0, high: 9 };
    expect(faults({ values: { current: { ...value, words: "S10" } } }).join()).toMatch(
      /must end in the letter/,
    );
    expect(faults({ values: { current: { ...value, words: "G1 F" } } }).join()).toMatch(
      /must end in the letter/,
    );
    expect(faults({ values: { current: { ...value, words: "M67 E0 Q" } } })).toEqual([]);
  });
});
