/** A study with a long journal, written at once instead of entry by entry. */
import { writeFileSync } from "node:fs";
import { type EntryBody, journalPath, linesText, sealEntries } from "../../lib/study/journal/index.js";
import { createStudy } from "../../lib/study/record/index.js";

/** Two factors and two responses, invented. */
export const longDefinition = {
  schema: "beadbench/study/1",
  name: "long journal",
  process: "141",
  factors: [
    { name: "current", unit: "A", low: 90, high: 150 },
    { name: "travel_speed", unit: "mm/min", low: 80, high: 160 },
  ],
  responses: [
    { name: "bead_width", unit: "mm" },
    { name: "bead_height", unit: "mm" },
  ],
} as const;

/** What is written of a coupon in turn: planned, logged, and of every tenth a note and a correction. */
function bodiesOf(index: number, entry: number): readonly EntryBody[] {
  const coupon = `C${String(index).padStart(3, "0")}`;
  const values = { current: 90 + (index % 60), travel_speed: 80 + (index % 80) };
  const units = { current: "A", travel_speed: "mm/min" };
  const measured = { bead_width: 4 + (index % 97) / 50, bead_height: 1 + (index % 89) / 60 };
  const usual: readonly EntryBody[] = [
    { kind: "planned", coupon, order: index, role: "corner", values, units },
    { kind: "logged", coupon, values: measured, units: { bead_width: "mm", bead_height: "mm" } },
  ];
  if (index % 10 !== 0) return usual;
  return [
    ...usual,
    { kind: "note", coupon, text: "read at three stations" },
    { kind: "corrected", entry: entry + 1, values: { bead_width: 5 }, reason: "caliper read wrongly" },
  ];
}

/** Makes a study of so many entries in a new folder. */
export function makeLongStudy(folder: string, entries: number): void {
  createStudy(folder, longDefinition);
  const bodies: EntryBody[] = [];
  for (let index = 1; bodies.length < entries; index++) bodies.push(...bodiesOf(index, bodies.length + 1));
  let last: ReturnType<typeof sealEntries>[number] | undefined;
  const lines = bodies.slice(0, entries).map((body, i) => {
    const time = new Date(Date.UTC(2026, 2, 2, 8) + 60_000 * i).toISOString();
    last = sealEntries([body], last, { time })[0]!;
    return last;
  });
  writeFileSync(journalPath(folder), linesText(lines));
}
