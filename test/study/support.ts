import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect } from "vitest";
import { BeadbenchError, formatIssue } from "../../lib/errors/index.js";
import { type Clock, createStudy, type Study } from "../../lib/study/index.js";

/** A clock that always shows the same moment. */
export const fixedClock: Clock = () => new Date("2026-03-02T08:30:00Z");

/** A definition with every kind of factor and response. */
export const exampleDefinition = {
  schema: "beadbench/study/1",
  name: "example",
  process: "141",
  wire: { classification: "ISO 14343-A W 19 9 L Si", diameter: "1.2 mm" },
  gas: { code: "I1", flow: "10 L/min" },
  factors: [
    { name: "current", unit: "A", low: 90, high: 150 },
    { name: "travel_speed", unit: "mm/min", low: 80, high: 160 },
    { name: "wire_feed_speed", unit: "mm/min", low: 600, high: 1400, step: 20 },
    { name: "cup", kind: "category", levels: ["small", "large"], change: "hard" },
  ],
  responses: [
    { name: "bead_width", unit: "mm", spec: { lower: 4.5, upper: 6 }, gaugeSd: 0.05 },
    { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 2.5 }, scale: "log" },
    { name: "sound_bead", kind: "passFail" },
    { name: "looks", kind: "grade", spec: { lower: 3 } },
  ],
  limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 1.2 }],
  blocks: ["day", "tungsten_grind"],
} as const;

const folders: string[] = [];
afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
});

/** An empty folder that is removed after the tests of the file. */
export function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "beadbench-"));
  folders.push(folder);
  return folder;
}

/** A new study with the example definition, some fields of it replaced. */
export function newStudy(changes: object = {}): Study {
  return createStudy(newFolder(), { ...exampleDefinition, ...changes });
}

/** The faults a call lists, one per line as the user reads them; the heading if it lists none. */
export function faultsOf(call: () => unknown): readonly string[] {
  try {
    call();
  } catch (error) {
    expect(error).toBeInstanceOf(BeadbenchError);
    const { details, message } = error as BeadbenchError;
    return details.issues?.map(formatIssue) ?? [message];
  }
  return [];
}
