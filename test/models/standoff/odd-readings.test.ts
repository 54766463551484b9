import { describe, expect, test } from "vitest";
import { refusalOf } from "../../../lib/errors/index.js";
import { fitDrift, forecastStandoff, type LayerReading } from "../../../lib/models/standoff/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { buildOf, rigNames } from "./rigs.js";
import { type Rig, simulateLog } from "./simulate.js";

const tig: Rig = { slope: 0, layerSd: 0.08, gaugeSd: 0.08, growth: 1.5, start: 3.4 };
const drift = (log: readonly LayerReading[]) => fitDrift(log, { gaugeSd: 0.08, points: 16, skipLayers: 0 });
const clean = (seed: number, layers = 30) => simulateLog(tig, layers, () => 1.5, randomStream(seed)).log;
const change = (log: readonly LayerReading[], place: number, to: (was: number) => number | null) =>
  log.map((one, i) => (i === place ? { ...one, standoff: to(one.standoff!) } : one));

describe("a slip of the pen in a layer log", () => {
  const slips: readonly [name: string, slip: (was: number) => number][] = [
    ["30 for 3.0", (was) => 10 * was],
    ["0.30 for 3.0", (was) => was / 10],
    ["8.4 for 3.4", (was) => was + 5],
  ];
  for (const [name, slip] of slips)
    test(`${name} is named with its layer and left out: fit and forecast are those of the log without it`, () => {
      for (const place of [0, 1, 7, 15, 28]) {
        // As the first reading, 8.4 mm before a layer of 6.5 mm may be true.
        if (place === 0 && slip(3) < 12) continue;
        const log = clean(place + 1);
        const fit = drift(change(log, place, slip));
        const [odd, ...others] = fit.odd;
        expect(others).toEqual([]);
        expect(odd).toMatchObject({ layer: place + 1, apart: true });
        expect(odd!.chance).toBeGreaterThan(0.9);
        expect(Math.abs(odd!.expected - log[place]!.standoff!)).toBeLessThan(1);
        expect(fit.findings[0]!.code).toBe("odd-standoff");
        const plan = { layers: 20, rise: 1.5, touch: 0.5, draws: 200, seed: 1 };
        const without = drift(change(log, place, () => null));
        expect(forecastStandoff(fit, plan)).toEqual(forecastStandoff(without, plan));
      }
    });

  test("as the last reading it is left out where no arc lays such a layer, else kept and named", () => {
    const log = clean(3);
    const impossible = drift(change(log, 29, (was) => 10 * was));
    expect(impossible.odd).toMatchObject([{ layer: 30, apart: true }]);
    expect(forecastStandoff(impossible, { layers: 3, rise: 1.5, touch: 0.5, seed: 1 }).bands[0]!.layer).toBe(
      31,
    );
    const near = drift(change(log, 29, (was) => was - 2.4));
    expect(near.odd).toMatchObject([{ layer: 30, apart: false }]);
    expect(near.findings[0]!.message).toMatch(/before layer 30.*kept, since it may be true/);
  });

  test("a log in which too few readings are left is refused with their names", () => {
    const refused = refusalOf(() => drift(change(clean(4, 5), 2, (was) => 10 * was)));
    expect(refused?.code).toBe("not-enough-data");
    expect(refused?.message).toMatch(/4 readings that agree.*before layer 3, where its neighbours lead to/);
  });
});

test("a step that stays is no slip", () => {
  const stepped = clean(5).map((one, i) => (i < 15 ? one : { ...one, standoff: one.standoff! + 3 }));
  expect(drift(stepped).odd.filter(({ apart }) => apart)).toEqual([]);
});

test("honest logs of every kind of rig lose hardly a reading", () => {
  let [readings, apart] = [0, 0];
  for (const kind of rigNames)
    for (let seed = 0; seed < 6; seed++) {
      const { log, gaugeSd } = buildOf(kind, 30, randomStream(900 + seed));
      const fit = fitDrift(log, { gaugeSd, points: 16 });
      readings += log.length;
      apart += fit.odd.filter((one) => one.apart).length;
    }
  expect(apart).toBeLessThan(readings / 500);
});
