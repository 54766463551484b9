import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { appendEntries, createStudy, type EntryBody, type Study } from "../../lib/study/index.js";

/** A study of an invented rig with these entries, in a folder of its own. */
export function rigStudy(bodies: readonly EntryBody[], more: Readonly<Record<string, unknown>> = {}): Study {
  const study = createStudy(join(mkdtempSync(join(tmpdir(), "beadbench-rig-")), "rig"), {
    schema: "beadbench/study/1",
    name: "invented ring",
    process: "141",
    wire: { classification: "ER308LSi", diameter: "1.2 mm" },
    gas: { code: "I1", flow: "10 L/min" },
    rig: { settings: { arc_voltage: "13 V", bead_length: "60 mm" } },
    factors: [
      { name: "current", unit: "A", low: 100, high: 160 },
      { name: "travel_speed", unit: "mm/min", low: 60, high: 240 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 1.8 },
    ],
    responses: [{ name: "sound_bead", kind: "passFail" }],
    ...more,
  });
  return bodies.length === 0 ? study : appendEntries(study, bodies);
}

/** A coupon run: at 120 mm/min 60 mm of bead take half a minute, and 1.2 m/min feed 0.6 m of wire. */
export const run = (coupon: string, current = 130): EntryBody => ({
  kind: "logged",
  coupon,
  values: { current, travel_speed: 120, wire_feed_speed: 1.2, sound_bead: true },
});
