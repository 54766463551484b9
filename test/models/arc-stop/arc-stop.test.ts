import { describe, expect, test } from "vitest";
import {
  burnBackTimeFor,
  delayForSticking,
  fitMeltBack,
  fitSticking,
  stickingChance,
  type WireStop,
} from "../../../lib/models/arc-stop/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { coastLength, extensionChange } from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";

const coast = coastLength(20, 0.05, 0.2);
const times = [0.02, 0.04, 0.06, 0.08, 0.1, 0.12];

describe("fitMeltBack", () => {
  test("gives back coast and melting speed of exact stops, and the time for no change", () => {
    const fit = fitMeltBack(
      times.map((t) => ({ burnBackTime: t, extensionChange: extensionChange(coast, 30, t) })),
    );
    expectDigits(fit.coast.estimate, coast, 10);
    expectDigits(fit.meltingSpeed.estimate, 30, 10);
    expectDigits(burnBackTimeFor(fit, 0).time!, coast / 30, 10);
    expect(burnBackTimeFor(fit, 2).time).toBeNull();
  });

  test("the range it gives for one stop holds about 95 % of stops", () => {
    let held = 0;
    for (let i = 0; i < 400; i++) {
      const random = randomStream(i);
      const stop = (t: number) => extensionChange(coast, 30, t) + 0.15 * random.normal();
      const fit = fitMeltBack(times.map((t) => ({ burnBackTime: t, extensionChange: stop(t) })));
      const { time, change } = burnBackTimeFor(fit, -1);
      const got = stop(time!);
      if (change!.lower <= got && got <= change!.upper) held++;
    }
    // 380 of 400 expected; 3 binomial sd are 13.
    expect(held).toBeGreaterThan(366);
    expect(held).toBeLessThan(394);
  });

  test("refuses stops at one time and reports stops that show nothing", () => {
    expect(() =>
      fitMeltBack([1, 2, 3, 4].map((change) => ({ burnBackTime: 0.1, extensionChange: change }))),
    ).toThrow(/same burn-back time/);
    const odd = [1, -1, 1, -1, 1, -1].map((extensionChange, i) => ({
      burnBackTime: times[i]!,
      extensionChange,
    }));
    expect(fitMeltBack(odd).findings.map(({ code }) => code)).toContain("melt-back-unclear");
  });
});

const chance = (delay: number, clearance: number): number =>
  1 / (1 + Math.exp(-(-3 + 8 * (delay - 0.3) - 1 * (clearance - 2))));
function stops(count: number, seed: number): WireStop[] {
  const random = randomStream(seed);
  return Array.from({ length: count }, () => {
    const [delay, clearance] = [random.uniform(), 1 + 3 * random.uniform()];
    return { delay, clearance, stuck: random.uniform() < chance(delay, clearance) };
  });
}

describe("fitSticking", () => {
  test("finds the delay for a chance, and an assured one on its safe side", () => {
    const fit = fitSticking(stops(1500, 1));
    const truth = 0.3 + (3 + Math.log(0.1 / 0.9)) / 8;
    const safe = delayForSticking(fit, 0.1, { clearance: 2 });
    expect(safe.bound).toBe("at most");
    expect(Math.abs(safe.estimated! - truth)).toBeLessThan(0.06);
    expect(safe.assured!).toBeLessThan(safe.estimated!);
    expectDigits(stickingChance(fit, { delay: safe.estimated!, clearance: 2 }).chance, 0.1, 4);
    expectDigits(stickingChance(fit, { delay: safe.assured!, clearance: 2 }, 0.9).upper, 0.1, 3);
    const wide = delayForSticking(fit, 0.1, { clearance: 3 });
    expect(wide.estimated!).toBeGreaterThan(safe.estimated!);
  });

  test("an assured delay keeps sticking under the chance in about 95 % of logs", () => {
    let kept = 0;
    for (let i = 0; i < 60; i++) {
      const { assured } = delayForSticking(fitSticking(stops(80, 100 + i)), 0.2, { clearance: 2 });
      if (assured === null || chance(assured, 2) <= 0.2) kept++;
    }
    // 57 of 60 expected; 3 binomial sd are 5.
    expect(kept).toBeGreaterThanOrEqual(52);
  });

  test("says when every stop came free, and does not promise what was not shown", () => {
    const free = fitSticking([0.1, 0.2, 0.3, 0.4].map((delay) => ({ delay, stuck: false })));
    expect(free.findings.map(({ code }) => code)).toContain("sticking-one-sided");
    expect(delayForSticking(free, 0.01).assured).toBeNull();
    expect(() =>
      fitSticking([
        { delay: 0.1, stuck: false },
        { delay: 0.1, clearance: 2, stuck: true },
      ]),
    ).toThrow(/some stops have a clearance/);
  });
});
