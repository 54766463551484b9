import { describe, expect, test } from "vitest";
import { measureTrace, openTrace, type TraceEvent, type TraceMeasure } from "../../lib/traces/index.js";
import { csvText, traceFile } from "./files.js";
import { score, simulate, simulatedKinds } from "./simulated.js";

type Signal = (t: number) => readonly [current: number, voltage: number, ...feed: number[]];

/** A trace of 2 kHz. */
async function traced(process: string, seconds: number, signal: Signal): Promise<TraceMeasure> {
  const rows = Array.from({ length: seconds * 2000 }, (_, k) => [k / 2000, ...signal(k / 2000)]);
  const header = `time [s],current [A],voltage [V]${rows[0]!.length > 3 ? ",feed [mm/s]" : ""}`;
  return measureTrace(await openTrace(traceFile(csvText(header, rows))), { process });
}

const told = ({ events }: TraceMeasure): readonly string[] =>
  events.map(({ kind, start, duration }: TraceEvent) => `${kind} ${start.toFixed(2)} ${duration.toFixed(2)}`);

describe("measureTrace finds what happened", () => {
  // Laws of simulated.ts: what the detector holds of none. These seeds were set apart before it was looked at on others.
  test.each(simulatedKinds)(
    "in a simulated %s: nineteen of twenty at least, and at most one false alarm a minute of arc",
    (kind) => {
      const totals = { laid: 0, found: 0, wrong: 0, minutes: 0 };
      for (const seed of [5001, 5002, 5003]) {
        const simulated = simulate(kind, seed, { seconds: 20 });
        const { events } = measureTrace(simulated.trace, { process: kind.endsWith("MIG") ? "135" : "141" });
        const { laid, found, false: wrong } = score(simulated, events);
        totals.laid += laid;
        totals.found += found;
        totals.wrong += wrong.length;
        totals.minutes += simulated.minutes;
      }
      expect(totals.laid).toBeGreaterThan(30);
      expect(totals.found / totals.laid).toBeGreaterThanOrEqual(0.95);
      expect(totals.wrong / totals.minutes).toBeLessThanOrEqual(1);
    },
  );

  test("calls the same bridge a touch where the tungsten holds the arc and a short where the wire does", async () => {
    const signal: Signal = (t) => (t < 0.5 ? [0, 0] : [150, t > 2 && t < 2.02 ? 2 : 20]);
    expect(told(await traced("141", 4, signal))).toEqual(["ignition 0.50 0.00", "touch 2.00 0.02"]);
    expect(told(await traced("135", 4, signal))).toEqual(["ignition 0.50 0.00", "short 2.00 0.02"]);
  });

  test("takes the bridge of a lift start for what it is, and one that stays for sticking", async () => {
    const start =
      (lift: number): Signal =>
      (t) =>
        t < 0.5 ? [0, 0] : [t < 0.5 + lift ? 20 : 120, t < 0.5 + lift ? 1 : 12];
    expect(told(await traced("141", 4, start(0.4)))).toEqual(["ignition 0.50 0.00"]);
    expect(told(await traced("141", 4, start(1.5)))).toEqual(["ignition 0.50 0.00", "stuck 0.50 1.50"]);
  });

  test("counts a start that failed beside the one that did not, with the run that follows", async () => {
    const { stretches } = await traced("141", 5, (t) =>
      (t > 1 && t < 1.012) || t > 1.5 ? [120, 12] : [0, 0],
    );
    expect(stretches).toHaveLength(1);
    expect(stretches[0]!.events).toMatchObject({
      misfire: { count: 1 },
      ignition: { count: 1 },
      lost: { count: 0 },
    });
  });

  test("sees wire that stops while the arc burns, and none that never ran or stops with the arc", async () => {
    const feed = (t: number): number => (t < 1.5 || t > 5 ? 0 : t > 3 && t < 3.6 ? 0.5 : 20);
    const measure = await traced("141", 6, (t) => [t > 0.5 && t < 5.05 ? 120 : 0, 12, feed(t)]);
    expect(told(measure)).toEqual(["ignition 0.50 0.00", "stopped 3.00 0.60"]);
    expect(measure.stretches[0]!.bridgedShare).toBe(0);
  });

  test("leaves spikes of the starter and a step of current alone", async () => {
    const measure = await traced("141", 4, (t) => [
      t > 1 ? (t > 2.5 ? 40 : 200) : Math.abs(t - 0.5) < 2e-4 ? 90 : 0,
      12,
    ]);
    expect(told(measure)).toEqual(["ignition 1.00 0.00"]);
  });
});
