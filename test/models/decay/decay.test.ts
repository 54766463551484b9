import { describe, expect, test } from "vitest";
import {
  type DecayFit,
  type DecayRange,
  type FittedDecay,
  type FittedPurge,
  fitCooling,
  fitHeightLaw,
  fitPurge,
  purgeWait,
  timeConstantAt,
  type UnfittedDecay,
} from "../../../lib/models/decay/index.js";
import { timeToLevel } from "../../../lib/models/decay/time-to-level.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { dwellTime, lumpTemperature, oxygenAfter, purgeTime } from "../../../lib/process/index.js";
import { coverage } from "../../support/coverage.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

const steps = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));

function fitted(fit: DecayFit): FittedDecay {
  if (fit.status !== "converged") throw new Error(`no fit: ${fit.findings[0]!.message}`);
  return fit;
}
function purged(fit: FittedPurge | UnfittedDecay): FittedPurge {
  if (fit.status !== "converged") throw new Error(`no fit: ${fit.findings[0]!.message}`);
  return fit;
}
const codes = ({ findings }: { readonly findings: readonly { readonly code: string }[] }): string[] =>
  findings.map(({ code }) => code);
const holds = ({ lower, upper }: Pick<DecayRange, "lower" | "upper">, truth: number): boolean =>
  (lower ?? Number.NEGATIVE_INFINITY) <= truth && truth <= (upper ?? Number.POSITIVE_INFINITY);

/** Readings of a part at 400 degC in 20 degC, with a scatter in K. */
function coolingLog(seed: number, sd: number, times: readonly number[], tau = 150) {
  const random = randomStream(seed);
  return times.map((time) => ({
    time,
    temperature:
      lumpTemperature({ from: 400, surroundings: 20, timeConstant: tau, time }) + sd * random.normal(),
  }));
}

const box = { volume: 200, flow: 10 };
/** Readings of a purge with a scatter as a share. */
function purgeLog(seed: number, share: number, times: readonly number[], leak = 0.005, mixing = 1) {
  const random = randomStream(seed);
  return times.map((time) => ({
    time,
    oxygen: oxygenAfter({ ...box, leak, mixing }, time) * Math.exp(share * random.normal()),
  }));
}

interface Reference {
  readonly time: number[];
  readonly value: number[];
  readonly target: number;
  readonly floor: number;
  readonly rise: number;
  readonly rate: number;
  readonly residualSd: number;
  readonly floorLimits: [number, number];
  readonly rateLimits: [number, number];
  readonly crossing: number;
  readonly crossingLimits: [number, number];
}

describe("R's nls, limits by its own profile (fixtures/decay.R)", () => {
  const fixture = readFixture<{ cooling: Reference; purge: Reference }>(
    import.meta.url,
    "fixtures/decay.json",
  );

  function compare(fit: FittedDecay, time: ReturnType<typeof timeToLevel>, want: Reference): void {
    expectDigits(fit.floor.estimate, want.floor, 6, "floor");
    expectDigits(fit.start.estimate, want.floor + want.rise, 6, "start");
    expectDigits(fit.timeConstant.estimate, 1 / want.rate, 6, "time constant");
    expectDigits(fit.readingSd, want.residualSd, 6, "scatter");
    const limits = [
      [fit.floor.lower, want.floorLimits[0]],
      [fit.floor.upper, want.floorLimits[1]],
      [fit.timeConstant.lower, 1 / want.rateLimits[1]],
      [fit.timeConstant.upper, 1 / want.rateLimits[0]],
      [time.estimate, want.crossing],
      [time.lower, want.crossingLimits[0]],
      [time.upper, want.crossingLimits[1]],
    ] as const;
    limits.forEach(([got, expected], i) => {
      expectDigits(got!, expected, 6, `limit ${i}`);
    });
  }

  test("cooling", () => {
    const { cooling } = fixture;
    const fit = fitted(fitCooling(cooling.time.map((time, i) => ({ time, temperature: cooling.value[i]! }))));
    compare(fit, timeToLevel(fit, cooling.target), cooling);
  });

  test("purging, in logarithms", () => {
    const { purge } = fixture;
    const fit = purged(
      fitPurge(
        purge.time.map((time, i) => ({ time, oxygen: purge.value[i]! })),
        box,
      ),
    );
    compare(fit.decay, purgeWait(fit, purge.target), purge);
  });
});

describe("worked figures", () => {
  test("m = 500 g, c = 600, R = 0.5 K/W: tau 150 s, 400 to 150 degC in 20 degC takes 160.90 s (by hand)", () => {
    for (const options of [{}, { surroundings: 20 }]) {
      const fit = fitted(fitCooling(coolingLog(1, 1e-6, steps(0, 400, 9)), options));
      expectDigits(fit.timeConstant.estimate, 150, 6);
      expectDigits(timeToLevel(fit, 150).estimate!, 160.9, 4);
    }
  });

  test("10 L/min, 200 L, 5 mL/min of air: floor 109.7 ppm, 150 ppm after 171.1 min, 100 ppm never (by hand)", () => {
    const fit = purged(fitPurge(purgeLog(1, 1e-4, steps(0, 240, 25)), box));
    expectDigits(fit.decay.floor.estimate, 109.7, 3.5);
    expectDigits(fit.mixing.estimate, 1, 4);
    expectDigits(fit.leak.estimate, 0.005, 3.5);
    expectDigits(purgeWait(fit, 150).estimate!, 171.1, 3);
    const never = purgeWait(fit, 100);
    expect(never).toMatchObject({ estimate: null, reach: "never" });
    expect(codes(never)).toEqual(["oxygen-unreachable"]);
    // Largest leak for 50 ppm at 10 L/min with 5 ppm in the supply: 2.15 mL/min, by hand.
    expect(purgeWait(fit, 50).findings[0]!.advice).toMatch(/from 5.0 under 2.1 mL\/min/);
    expect(codes(fit)).toContain("leak-shown");
  });

  test("readings without any scatter come back as they went in", () => {
    const fit = fitted(
      fitCooling(
        steps(0, 400, 9).map((time) => ({
          time,
          temperature: lumpTemperature({ from: 400, surroundings: 20, timeConstant: 150, time }),
        })),
      ),
    );
    expectDigits(fit.timeConstant.estimate, 150, 9);
    expectDigits(fit.timeConstant.upper!, 150, 6);
    expectDigits(timeToLevel(fit, 150).upper!, 160.9, 4);
  });
});

/** Nominal 95 % in 700 runs: standard error 0.8 %. */
function expectNominal(shares: readonly number[], names: readonly string[]): void {
  shares.forEach((share, j) => {
    expect(share, `${names[j]} in ${(100 * share).toFixed(1)} %`).toBeGreaterThanOrEqual(0.93);
    expect(share, `${names[j]} in ${(100 * share).toFixed(1)} %`).toBeLessThanOrEqual(0.97);
  });
}

describe("95 % limits hold the truth in 93 to 97 % of simulated logs", () => {
  test("cooling, surroundings fitted", () => {
    const truth = dwellTime({ from: 400, to: 150, surroundings: 20, timeConstant: 150 });
    const shares = coverage(700, (run) => {
      const fit = fitted(fitCooling(coolingLog(run, 3, steps(5, 350, 18))));
      return [holds(fit.timeConstant, 150), holds(fit.floor, 20), holds(timeToLevel(fit, 150), truth)];
    });
    expectNominal(shares, ["time constant", "surroundings", "dwell"]);
  });

  test("cooling, surroundings given and the log short", () => {
    const truth = dwellTime({ from: 400, to: 150, surroundings: 20, timeConstant: 150 });
    const shares = coverage(700, (run) => {
      const fit = fitted(fitCooling(coolingLog(run, 3, steps(5, 120, 8)), { surroundings: 20 }));
      return [holds(fit.timeConstant, 150), holds(timeToLevel(fit, 150), truth)];
    });
    expectNominal(shares, ["time constant", "dwell"]);
  });

  test("purging: mixing, floor and purge time, and hardly a false alarm about the shape", () => {
    const enclosure = { ...box, leak: 0.005, mixing: 1.2 };
    const truth = purgeTime(enclosure, 500)!;
    let alarms = 0;
    const shares = coverage(700, (run) => {
      const fit = purged(fitPurge(purgeLog(run, 0.05, steps(0, 160, 25), 0.005, 1.2), box));
      if (codes(fit).some((code) => code === "not-one-exponential" || code === "readings-wander")) alarms++;
      return [
        holds(fit.mixing, 1.2),
        holds(fit.decay.floor, 109.7),
        holds(fit.leak, 0.005),
        holds(purgeWait(fit, 500), truth),
      ];
    });
    expectNominal(shares, ["mixing", "floor", "leak", "time to 500 ppm"]);
    // Two tests at 1 %: 14 of 700 expected, 3 binomial sd are 11.
    expect(alarms).toBeLessThan(26);
  });
});

describe("fitCooling", () => {
  test("says when a log is too short to tell the surroundings, and needs it no more when they are given", () => {
    const log = coolingLog(3, 3, steps(5, 90, 10));
    const short = fitted(fitCooling(log));
    expect(codes(short)).toEqual(["floor-not-told"]);
    expect(timeToLevel(short, 60).reach).toBe("unsure");
    const given = fitted(fitCooling(log, { surroundings: 20 }));
    expect(codes(given)).toEqual([]);
    expect(given.timeConstant.upper! - given.timeConstant.lower!).toBeLessThan(
      0.3 * ((short.timeConstant.upper ?? 1e6) - short.timeConstant.lower!),
    );
  });

  test("a log too short to bend leaves limits open rather than failing", () => {
    const truth = dwellTime({ from: 400, to: 250, surroundings: 20, timeConstant: 150 });
    let open = 0;
    const [tau, dwell] = coverage(40, (run) => {
      const fit = fitCooling(coolingLog(run, 3, steps(5, 60, 8)));
      if (fit.status !== "converged") return [true, true];
      expect(codes(fit)).toContain("floor-not-told");
      if (fit.timeConstant.upper === null) open++;
      return [holds(fit.timeConstant, 150), holds(timeToLevel(fit, 250), truth)];
    });
    expect(open).toBeGreaterThan(20);
    // 38 of 40 expected; 3 binomial sd are 4.
    expect(tau).toBeGreaterThan(0.84);
    expect(dwell).toBeGreaterThan(0.84);
  });

  test("holds given surroundings against those the readings tell", () => {
    const log = coolingLog(3, 2, steps(5, 450, 25));
    expect(codes(fitted(fitCooling(log, { surroundings: 20 })))).toEqual([]);
    const wrong = fitted(fitCooling(log, { surroundings: 68 }));
    expect(codes(wrong)).toContain("floor-disagrees");
    expect(wrong.findings.at(-1)!.message).toMatch(
      /given as 68.0 degC, where the readings tell about (1\d|2\d)\.\d degC/,
    );
  });

  test("says when the curve is two exponentials: heat evens out first, then leaves", () => {
    const random = randomStream(5);
    const log = steps(1, 400, 40).map((time) => ({
      time,
      temperature: 20 + 230 * Math.exp(-time / 160) + 250 * Math.exp(-time / 12) + 2 * random.normal(),
    }));
    const fit = fitted(fitCooling(log));
    expect(codes(fit)).toContain("not-one-exponential");
    expect(fit.findings[0]!.message).toMatch(/faster at first and slower later/);
    const later = fitted(fitCooling(log.filter(({ time }) => time > 60)));
    expect(codes(later)).not.toContain("not-one-exponential");
    expect(holds(later.timeConstant, 160)).toBe(true);
  });

  test("says when neighbouring readings wander together", () => {
    const random = randomStream(8);
    let drift = 0;
    const log = steps(0, 400, 60).map((time) => {
      drift = 0.9 * drift + 3 * random.normal();
      return {
        time,
        temperature: lumpTemperature({ from: 400, surroundings: 20, timeConstant: 150, time }) + drift,
      };
    });
    expect(codes(fitted(fitCooling(log)))).toContain("readings-wander");
  });

  test("a rising temperature is no cooling; an interpass under the surroundings is never reached", () => {
    const rising = steps(0, 100, 8).map((time) => ({
      time,
      temperature: 100 + 150 * (1 - Math.exp(-time / 40)),
    }));
    const none = fitCooling(rising);
    expect(none.status).toBe("no-decay");
    expect(codes(none)).toEqual(["no-decay"]);
    const fit = fitted(fitCooling(coolingLog(1, 1, steps(5, 700, 30))));
    expect(timeToLevel(fit, 15)).toMatchObject({ estimate: null, reach: "never" });
    expect(timeToLevel(fit, 500)).toMatchObject({ estimate: 0, upper: 0 });
  });

  test("refuses readings no part shows, and too few of them", () => {
    const log = coolingLog(1, 1, steps(0, 300, 8));
    expect(() => fitCooling([...log, { time: -5, temperature: 300 }])).toThrow(
      /time of a reading must be at least 0 s, got -5 s/,
    );
    expect(() => fitCooling([...log, { time: 5, temperature: 9000 }])).toThrow(/temperature must be/);
    expect(() => fitCooling(log.slice(0, 3))).toThrow(/at least 4 readings at 3 different times, got 3 at 3/);
  });

  test("the unit of time and the order of readings do not matter", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 999 }),
        fc.double({ min: 0.01, max: 20, noNaN: true }),
        (seed, unit) => {
          const log = coolingLog(seed, 3, steps(5, 350, 12));
          const one = fitted(fitCooling(log));
          const other = fitted(
            fitCooling(log.map(({ time, temperature }) => ({ time: unit * time, temperature })).reverse()),
          );
          expectDigits(other.timeConstant.estimate, unit * one.timeConstant.estimate, 7);
          expectDigits(other.timeConstant.upper!, unit * one.timeConstant.upper!, 6);
          expectDigits(timeToLevel(other, 200).upper!, unit * timeToLevel(one, 200).upper!, 6);
        },
      ),
      { numRuns: 20, seed: 7 },
    );
  });
});

describe("fitPurge", () => {
  test("a floor that does not show yet has an upper limit only", () => {
    const fit = purged(fitPurge(purgeLog(4, 0.05, steps(0, 80, 12)), box));
    expect(fit.decay.floor.lower).toBe(0);
    expect(fit.decay.floor.upper!).toBeGreaterThan(109.7);
    expect(codes(fit)).toContain("floor-not-reached");
    expect(codes(fit)).not.toContain("leak-shown");
    const target = fit.decay.floor.upper! / 2;
    expect(purgeWait(fit, target)).toMatchObject({ upper: null, reach: "unsure" });
    expect(codes(purgeWait(fit, target))).toEqual(["oxygen-unsure"]);
  });

  test("names a flow or volume that cannot be", () => {
    // 200 L typed where the enclosure holds 800.
    const log = purgeLog(2, 0.03, steps(0, 160, 25), 0.005, 1);
    expect(codes(purged(fitPurge(log, { flow: 10, volume: 800 })))).toContain("mixing-odd");
    expect(codes(purged(fitPurge(log, box)))).not.toContain("mixing-odd");
  });

  test("refuses a reading of 0, and a supply as dirty as air", () => {
    const log = purgeLog(2, 0.03, steps(0, 160, 25));
    expect(() => fitPurge([...log, { time: 170, oxygen: 0 }], box)).toThrow(
      /oxygen read \(leave out what the meter cannot resolve\) must be above 0 ppm/,
    );
    expect(() => fitPurge(log, { ...box, flow: -10 })).toThrow(/purge flow must be above 0 L\/min/);
    expect(() => fitPurge(log, { ...box, supplyOxygen: 209500 })).toThrow(/oxygen in the supply/);
  });
});

describe("fitHeightLaw", () => {
  const heights = [10, 20, 30, 50, 80];

  test("gives back the power of an exact law, and no more beyond its heights", () => {
    const law = fitHeightLaw(heights.map((height) => ({ height, timeConstant: 0.2 * height ** 1.6 })));
    expectDigits(law.exponent.estimate, 1.6, 9);
    expectDigits(timeConstantAt(law, 40).estimate, 0.2 * 40 ** 1.6, 9);
    expect(timeConstantAt(law, 40).extrapolated).toBe(false);
    expect(timeConstantAt(law, 120).extrapolated).toBe(true);
  });

  test("its limits hold the next curve in about 95 %, and a law without slope is said", () => {
    const [share] = coverage(1000, (run) => {
      const random = randomStream(run);
      const curve = (height: number) => 0.2 * height ** 1.6 * Math.exp(0.08 * random.normal());
      const law = fitHeightLaw(heights.map((height) => ({ height, timeConstant: curve(height) })));
      return [holds(timeConstantAt(law, 40), curve(40))];
    });
    expectNominal([share!], ["time constant at 40 mm"]);
    const flat = fitHeightLaw(heights.map((height, i) => ({ height, timeConstant: i % 2 ? 100 : 110 })));
    expect(codes(flat)).toEqual(["height-not-shown"]);
    expect(() => fitHeightLaw([1, 2, 3].map((tau) => ({ height: 20, timeConstant: tau })))).toThrow(
      /three cooling curves or more, at different heights/,
    );
  });
});
