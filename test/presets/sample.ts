import { readFileSync } from "node:fs";
import { type MachineMap, makePreset, type Preset, parseMachineMap } from "../../lib/presets/index.js";
import { appendEntries, type Study } from "../../lib/study/index.js";
import type { Recommendation } from "../../lib/window/index.js";
import { fixedClock, newStudy } from "../study/support.js";

/** A machine whose words are all of NISTIR 6556, with the current as its spindle speed. */
export const plainMachine: MachineMap = parseMachineMap(
  JSON.stringify({
    schema: "beadbench/machine/1",
    name: "invented",
    axes: { x: { min: 0, max: 400 }, y: { min: 0, max: 300 }, z: { min: 0, max: 180 } },
    plate: { x: 50, y: 40, z: 20 },
    fastest: "3000 mm/min",
    outputs: { arc: { on: "M3", off: "M5" }, gas: { on: "M8", off: "M9" } },
    values: { current: { words: "S", unit: "A", low: 5, high: 200 } },
  }),
);

/** The demo's machine, with outputs of later additions. */
export const fullMachine: MachineMap = parseMachineMap(
  readFileSync(new URL("../../data-demo/machine.json", import.meta.url), "utf8"),
);
/** M words of its outputs that the report does not know. */
export const fullOutputs = [64, 65, 67];

export const recommendation: Recommendation = {
  settings: [
    { factor: "current", value: 121, unit: "A" },
    { factor: "travel_speed", value: 120, unit: "mm/min" },
    { factor: "wire_feed_speed", value: 900, unit: "mm/min" },
    { factor: "cup", value: "large", unit: "1" },
  ],
  predicted: [
    { response: "bead_width", unit: "mm", median: 5.2, lower: 4.8, upper: 5.7, chance: 0.97 },
    { response: "bead_height", unit: "mm", median: 1.9, lower: 1.6, upper: 2.3, chance: 0.99 },
  ],
  conformance: {
    chance: 0.94,
    sd: 0.02,
    interval: [0.88, 0.97],
    dimensions: 0.96,
    perResponse: { bead_width: 0.97, bead_height: 0.99 },
    perCheck: { sound_bead: 0.98 },
  },
  ranges: [{ factor: "current", unit: "A", best: 121, low: 113, high: 129, aloneLow: 105, aloneHigh: 138 }],
  asked: 0.9,
  level: 0.9,
  reached: 0.91,
  coupons: 2,
  seed: 7,
  findings: [{ code: "near-edge", severity: "warning", message: "near the edge", about: ["current"] }],
};

/** A study with coupons on both sides of the recommended setting. */
export function triedStudy(changes: object = {}): Study {
  const run = (coupon: string, current: number, cup: string) => ({
    kind: "logged" as const,
    coupon,
    values: { current, travel_speed: current, wire_feed_speed: 10 * current - 200, cup, bead_width: 5.1 },
  });
  return appendEntries(
    newStudy({ rig: { settings: { arc_voltage: "12.5 V", standoff: "3 mm" } }, ...changes }),
    [run("C1", 100, "small"), run("C2", 140, "large")],
    { clock: fixedClock },
  );
}

export const made = new Date("2026-04-01T10:00:00+02:00");

/** A preset that is in no doubt. */
export const proven: Preset = makePreset(triedStudy(), recommendation, made);

/** The same with a chance below its level. */
export const weak: Preset = makePreset(
  triedStudy(),
  { ...recommendation, conformance: { ...recommendation.conformance, chance: 0.05, interval: [0.01, 0.2] } },
  made,
);
