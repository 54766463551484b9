import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../lib/errors/index.js";
import { buildOutcomeModel, settingLimits } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import {
  conformanceChances,
  driftSensitivity,
  findWindow,
  type ProcessWindow,
  recommendPreset,
  tradeOffs,
} from "../../lib/window/index.js";
import { tigWearRing as rig } from "../rigs/tig-wear-ring.js";
import { loopCoupons } from "./studies.js";

const coupons = loopCoupons(rig, 24, 3);
const model = buildOutcomeModel({ definition: rig.definition, coupons });
const window = findWindow(model, { level: 0.6 });

const bestSettings = (of: ProcessWindow) =>
  Object.fromEntries(of.best.settings.map(({ factor, value }) => [factor, value]));
/** Lower triangle L with L L' = matrix. */
function lowerRoot(matrix: readonly (readonly number[])[]): number[][] {
  const root = matrix.map((row) => row.map(() => 0));
  matrix.forEach((row, a) => {
    for (let b = 0; b <= a; b++) {
      const rest = row[b]! - root[a]!.slice(0, b).reduce((sum, value, k) => sum + value * root[b]![k]!, 0);
      root[a]![b] = a === b ? Math.sqrt(rest) : rest / root[b]![b]!;
    }
  });
  return root;
}
const isOnStep = (value: number, low: number, step: number): boolean => {
  const steps = (value - low) / step;
  return Math.abs(steps - Math.round(steps)) < 1e-6;
};

describe("findWindow", { timeout: 120_000 }, () => {
  test("the best setting lies on the rig's steps, inside every range", () => {
    rig.definition.factors.forEach((factor, j) => {
      const range = window.ranges[j]!;
      const values = [range.aloneLow, range.low, range.best, range.high, range.aloneHigh].map(Number);
      for (const value of values) expect(isOnStep(value, factor.low, factor.step!)).toBe(true);
      expect(values[1]! <= values[2]! && values[2]! <= values[3]!).toBe(true);
      expect(values[0]! >= factor.low && values[4]! <= factor.high).toBe(true);
    });
  });

  test("settings drawn inside the ranges keep the level, and ranges can be used together", () => {
    const stream = randomStream(1);
    const settings = Array.from({ length: 400 }, () =>
      Object.fromEntries(
        rig.definition.factors.map(({ name, step }, j) => {
          const [low, high] = [Number(window.ranges[j]!.low), Number(window.ranges[j]!.high)];
          return [name, low + step! * stream.integer(0, Math.round((high - low) / step!))];
        }),
      ),
    );
    const worst = Math.min(...conformanceChances(model, settings));
    // The ranges were grown on 48 settings inside and the corners; 400 others may find a slightly lower one.
    expect(worst).toBeGreaterThan(window.level - 0.03);
    expect(window.reached).toBeGreaterThan(window.level - 0.03);
    expect(window.ranges.filter(({ low, high }) => low !== high).length).toBeGreaterThanOrEqual(2);
  });

  test("a range brackets its setting, or is said not to and why", () => {
    for (const level of [0.5, 0.6, 0.7, 0.95]) {
      const found = findWindow(model, { level, mapSize: 2 });
      for (const { factor, low, high, best } of found.ranges) {
        const said = found.findings.filter(
          ({ code, about }) =>
            ["no-room", "best-at-limit", "best-at-study-end"].includes(code) && about?.includes(factor),
        );
        expect(said.length > 0, `${factor} at ${level}: ${low} to ${high}, best ${best}`).toBe(
          low === best || high === best,
        );
      }
    }
  });

  test.each([0.5, 0.6, 0.7])("settings in the ellipsoid keep %f, and a larger one would not", (level) => {
    const { ellipsoid } = findWindow(model, { level });
    const { factors, centre, shape } = ellipsoid!;
    expect(factors).toEqual(rig.definition.factors.map(({ name }) => name));
    expect(centre).toEqual(window.ranges.map(({ best }) => Number(best)));
    // Uniform in the ellipsoid: normal directions, scaled to a radius, through a root of the shape.
    const stream = randomStream(2);
    const root = lowerRoot(shape);
    const drawn = (count: number, radius: () => number) =>
      Array.from({ length: count }, () => {
        const z = factors.map(() => stream.normal());
        const scale = radius() / Math.hypot(...z);
        return Object.fromEntries(
          factors.map((name, a) => [
            name,
            centre[a]! + scale * root[a]!.reduce((sum, value, b) => sum + value * z[b]!, 0),
          ]),
        );
      });
    const inside = conformanceChances(
      model,
      drawn(400, () => stream.uniform() ** (1 / factors.length)),
    );
    expect(Math.min(...inside)).toBeGreaterThanOrEqual(level);
    const larger = drawn(2000, () => 1.2);
    const beyondRange = larger.some((settings) =>
      rig.definition.factors.some(({ name, low, high }) => settings[name]! < low || settings[name]! > high),
    );
    // What the rig can be set to there.
    const onSteps = larger.map((settings) =>
      Object.fromEntries(
        rig.definition.factors.map(({ name, low, step }) => [
          name,
          low + step! * Math.round((settings[name]! - low) / step!),
        ]),
      ),
    );
    expect(beyondRange || Math.min(...conformanceChances(model, onSteps)) < level).toBe(true);
  });

  test("the share of settings that keep the level lies in its own interval, also where nothing is known", () => {
    const models = [
      model,
      buildOutcomeModel({ definition: rig.definition, coupons: [] }),
      buildOutcomeModel({ definition: rig.definition, coupons: coupons.slice(0, 6) }),
    ];
    for (const of of models) {
      for (const level of [0.05, 0.3, 0.6]) {
        const { share, interval } = findWindow(of, { level, mapSize: 2 }).volume;
        expect(interval[0]).toBeLessThanOrEqual(share);
        expect(interval[1]).toBeGreaterThanOrEqual(share);
        expect(interval[1]).toBeLessThanOrEqual(1);
      }
    }
  });

  test("a higher level leaves less room", () => {
    const strict = findWindow(model, { level: 0.8 });
    expect(strict.volume.share).toBeLessThanOrEqual(window.volume.share);
    strict.ranges.forEach((range, j) => {
      expect(Number(range.aloneLow)).toBeGreaterThanOrEqual(Number(window.ranges[j]!.aloneLow));
      expect(Number(range.aloneHigh)).toBeLessThanOrEqual(Number(window.ranges[j]!.aloneHigh));
    });
  });

  test("a level nobody reaches is lowered and said so", () => {
    const found = findWindow(model, { level: 0.999 });
    expect(found.findings.map(({ code }) => code)).toContain("level-not-reached");
    expect(found.level).toBeLessThan(found.best.conformance.chance);
  });

  test("limits of the study hold everywhere, and an impossible one is an error", () => {
    const limits = [{ quantity: "arc_energy", unit: "kJ/mm", max: 0.55 }];
    const limited = { ...rig.definition, limits };
    const found = findWindow(buildOutcomeModel({ definition: limited, coupons }));
    const [limit] = settingLimits({ definition: limited });
    expect(limit!.value(bestSettings(found))).toBeLessThanOrEqual(0.55);
    expect(found.map!.chance.flat()).toContain(null);
    const impossible = { ...rig.definition, limits: [{ ...limits[0]!, max: 0.001 }] };
    expect(() => findWindow(buildOutcomeModel({ definition: impossible, coupons }))).toThrow(BeadbenchError);
  });
});

describe("recommendPreset", { timeout: 120_000 }, () => {
  test("predicts inside the specification it recommends, with an interval around the median", () => {
    const found = recommendPreset(model);
    expect(found.settings).toEqual(findWindow(model).best.settings);
    for (const { response, median, lower, upper } of found.predicted) {
      const spec = rig.definition.responses.find(({ name }) => name === response)!.spec!;
      expect(lower < median && median < upper).toBe(true);
      expect(median > spec.lower! && median < spec.upper!).toBe(true);
    }
    expect(JSON.parse(JSON.stringify(found))).toEqual(found);
  });
});

describe("tradeOffs and driftSensitivity", { timeout: 120_000 }, () => {
  test("nothing on a front is beaten by another", () => {
    const { byTime, safest, fastest, level } = tradeOffs(model);
    expect(byTime[0]).toEqual(safest);
    byTime.slice(1).forEach((item, i) => {
      expect(item.perMetre.minutes!).toBeLessThan(byTime[i]!.perMetre.minutes!);
      expect(item.chance).toBeLessThanOrEqual(byTime[i]!.chance);
    });
    expect(fastest!.chance).toBeGreaterThanOrEqual(level);
    expect(fastest!.perMetre.minutes!).toBeLessThanOrEqual(safest.perMetre.minutes!);
  });

  test("drift beyond what is allowed falls under the level, within it does not", () => {
    const settings = bestSettings(window);
    const level = 0.8 * window.best.conformance.chance;
    for (const { factor, at, allowedUp } of driftSensitivity(model, settings, level)) {
      if (allowedUp === undefined) continue;
      const [inside, outside] = conformanceChances(model, [
        { ...settings, [factor]: at + 0.99 * allowedUp },
        { ...settings, [factor]: at + 1.01 * allowedUp },
      ]);
      expect(inside!).toBeGreaterThan(level - 0.005);
      expect(outside!).toBeLessThan(level + 0.005);
    }
  });
});
