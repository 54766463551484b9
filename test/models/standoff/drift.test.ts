import { describe, expect, test } from "vitest";
import { fitDrift, holdingRise } from "../../../lib/models/standoff/index.js";
import { mean, randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { nextStandoff, type Rig, simulateLog } from "./simulate.js";

const mig: Rig = { slope: 0.3, layerSd: 0.08, gaugeSd: 0.1, growth: 1.5, start: 5 };
const level = () => 1.5;
/** Fewer points than a user's fit takes, where the claim does not hang on the ends of an interval. */
const lean = { points: 32, skipLayers: 0 } as const;
const steps = (layer: number) => (Math.floor((layer - 1) / 6) % 2 === 0 ? 1.3 : 1.7);

/** Logs of each design. */
const LOGS = 60;

describe("the corrected slope", () => {
  test.each([
    ["started off its stand-off", mig, level, 60, 1],
    ["with stepped rises", { ...mig, start: 3 }, steps, 60, 1],
    ["at four stations of a ring", { ...mig, slope: 0.15, start: 4.5 }, level, 40, 4],
  ] as const)(
    "is unbiased within 5 % %s, where the naive one is not",
    (_what, rig, rise, layers, stations) => {
      const fits = Array.from({ length: LOGS }, (_, i) => {
        const random = randomStream(400 + i);
        const log = Array.from({ length: stations }, (_s, k) =>
          simulateLog(rig, layers, rise, random.split(k), `${k}`),
        ).flatMap((one) => one.log);
        return fitDrift(log, { gaugeSd: rig.gaugeSd, skipLayers: 0 });
      });
      const corrected = mean(fits.map(({ slope }) => slope.estimate));
      const naive = mean(fits.map(({ plain }) => plain!.naive));
      expect(Math.abs(corrected / rig.slope - 1)).toBeLessThan(0.05);
      expect(naive / rig.slope - 1).toBeGreaterThan(0.08);
      // The stated intervals hold the truth in at least 95 % of logs, less 3 binomial sd.
      const covered = fits.filter(({ slope }) => slope.lower <= rig.slope && rig.slope <= slope.upper).length;
      expect(covered).toBeGreaterThan(0.95 * LOGS - 3 * Math.sqrt(0.95 * 0.05 * LOGS));
    },
  );

  test("of a rig without feedback is 0 in the middle of many logs, where the naive one looks stable", () => {
    const rig = { ...mig, slope: 0, start: 3 };
    const fits = Array.from({ length: 80 }, (_, i) => {
      const { log } = simulateLog(rig, 40, () => 1.46, randomStream(900 + i));
      return fitDrift(log, { gaugeSd: rig.gaugeSd, ...lean });
    });
    const middle = fits.map(({ slope }) => slope.estimate).sort((a, b) => a - b)[40]!;
    expect(Math.abs(middle)).toBeLessThan(0.02);
    expect(mean(fits.map(({ plain }) => plain!.naive))).toBeGreaterThan(0.07);
    const decided = fits.filter(({ verdict }) => verdict !== "cannot-tell").length;
    expect(decided).toBeLessThan(0.15 * fits.length);
  });
});

const one = simulateLog({ ...mig, start: 6 }, 50, steps, randomStream(3)).log;

describe("fitDrift", () => {
  test("tells a rig that settles, one that runs away and one it cannot tell", () => {
    expect(fitDrift(one, { gaugeSd: 0.1 }).verdict).toBe("self-regulating");
    const away = simulateLog({ ...mig, slope: -0.12, start: 3.8 }, 25, () => 1.5, randomStream(5)).log;
    const awayFit = fitDrift(away, { gaugeSd: 0.1 });
    expect(awayFit.verdict).toBe("runs-away");
    expect(awayFit.findings.map(({ code }) => code)).toContain("standoff-runs-away");
    const short = simulateLog({ ...mig, slope: 0.05, start: 3 }, 12, level, randomStream(7)).log;
    const shortFit = fitDrift(short, { gaugeSd: 0.1 });
    expect(shortFit.verdict).toBe("cannot-tell");
    expect(shortFit.findings.map(({ code }) => code)).toEqual(
      expect.arrayContaining(["regulation-undecided", "few-layers"]),
    );
  });

  test("does not depend on the order of the readings, and a shift of the gauge's zero leaves the slope alone", () => {
    const fit = fitDrift(one, { gaugeSd: 0.1 });
    const turned = fitDrift([...one].reverse(), { gaugeSd: 0.1 });
    expect(turned.slope).toEqual(fit.slope);
    const shifted = fitDrift(
      one.map((reading) => ({ ...reading, standoff: reading.standoff! + 2 })),
      { gaugeSd: 0.1 },
    );
    expectDigits(shifted.slope.estimate, fit.slope.estimate, 5);
    expectDigits(shifted.growth[0]!.estimate, fit.growth[0]!.estimate, 5);
    expectDigits(shifted.reference, fit.reference + 2, 12);
  });

  test("says nothing wrong of sixty steady layers, a length at which a determinant used to cancel", () => {
    const steady = Array.from({ length: 60 }, (_, i) => ({
      layer: i + 1,
      standoff: 3 + 0.15 * Math.sin(2 * i * i),
      rise: 1.5,
    }));
    for (const layers of [45, 53, 60]) {
      const fit = fitDrift(steady.slice(0, layers), { gaugeSd: 0.1 });
      expect(Math.abs(fit.growth[0]!.estimate - 1.5)).toBeLessThan(0.02);
      expect(fit.verdict).not.toBe("runs-away");
      expect(Number.isFinite(fit.slope.lower + fit.slope.upper + fit.layerSd.upper)).toBe(true);
    }
  });

  test("never tells a rig that regulates a little that its sign or unit is wrong, or that it runs away", () => {
    for (let i = 0; i < 40; i++) {
      const { log } = simulateLog(
        { ...mig, slope: 0.15, start: 3 + (i % 4) },
        60,
        level,
        randomStream(88_000 + i),
      );
      expect(fitDrift(log, { gaugeSd: 0.1, ...lean }).verdict).not.toBe("runs-away");
    }
  });

  test("tells of growth that changes along the build", () => {
    const random = randomStream(77);
    let s = 4;
    const heating = Array.from({ length: 60 }, (_, i) => {
      const reading = { layer: i + 1, standoff: s + 0.04 * random.normal(), rise: 1.35 };
      s += 1.35 - 1.5 * (1 - 0.004 * i) + 0.03 * random.normal();
      return reading;
    });
    expect(fitDrift(heating, { gaugeSd: 0.04 }).findings.map(({ code }) => code)).toContain("growth-changes");
  });

  test("lives with layers that were not measured", () => {
    // One log with gaps may be narrower than the whole one by luck, and one in twenty misses the slope: many logs tell.
    const logs = Array.from({ length: 24 }, (_, i) => {
      const { log } = simulateLog({ ...mig, start: 6 }, 50, steps, randomStream(3).split(i));
      const gaps = log.map((reading) => (reading.layer % 3 === 2 ? { ...reading, standoff: null } : reading));
      const [whole, holed] = [log, gaps].map((one) => fitDrift(one, { gaugeSd: mig.gaugeSd }).slope);
      return {
        ratio: (holed!.upper - holed!.lower) / (whole!.upper - whole!.lower),
        holds: holed!.lower <= mig.slope && mig.slope <= holed!.upper,
      };
    });
    // 95 % of the logs, less 2 binomial sd.
    const holding = logs.filter(({ holds }) => holds).length;
    expect(holding).toBeGreaterThan(0.95 * logs.length - 2 * Math.sqrt(0.95 * 0.05 * logs.length));
    // A third of the readings gone: not narrower in the mean, and wider in most logs.
    expect(mean(logs.map(({ ratio }) => ratio))).toBeGreaterThan(1);
    expect(logs.filter(({ ratio }) => ratio > 1).length).toBeGreaterThan(0.6 * logs.length);
  });

  test("a sharp prior of the user pulls the slope's interval to it", () => {
    const fit = fitDrift(one.slice(0, 14), { gaugeSd: 0.1, prior: { mean: 0, sd: 0.01 } });
    expect(fit.slope.upper).toBeLessThan(0.06);
  });

  test("survives JSON and refuses a gauge without noise", () => {
    const fit = fitDrift(one, { gaugeSd: 0.1 });
    expect(JSON.parse(JSON.stringify(fit)).posterior).toEqual(fit.posterior);
    expect(() => fitDrift(one, { gaugeSd: 0 })).toThrow(/gauge sd .* must be above 0/);
  });
});

describe("holdingRise", () => {
  test("is the rig's growth at the wanted stand-off, within its interval, in nearly all logs", () => {
    const truth = mig.growth + mig.slope * (4 - 3);
    const holds = Array.from({ length: 60 }, (_, i) => {
      const { log } = simulateLog(mig, 50, steps, randomStream(60 + i));
      const fit = fitDrift(log, { gaugeSd: 0.1, ...lean });
      return holdingRise(fit, { standoff: 4, margin: 1, seed: i, draws: 400 }).rise[0]!;
    });
    expect(holds.filter(({ lower, upper }) => lower <= truth && truth <= upper).length).toBeGreaterThan(51);
    expect(Math.abs(mean(holds.map(({ estimate }) => estimate)) - truth)).toBeLessThan(0.01);
  });

  test("corrected that often, builds stay within the margin in about 19 of 20 or more, growth not known exactly", () => {
    const rig = { ...mig, slope: 0, start: 3.2 };
    let [left, builds] = [0, 0];
    const waits: number[] = [];
    for (let i = 0; i < 30; i++) {
      const random = randomStream(i).split("correct");
      const { log } = simulateLog(rig, 40, () => 1.5, random);
      const hold = holdingRise(fitDrift(log, { gaugeSd: 0.1, points: 32 }), {
        standoff: 3,
        margin: 0.6,
        seed: i,
        draws: 300,
      });
      waits.push(hold.correctEvery);
      for (let build = 0; build < 20; build++) {
        let s = 3 + rig.gaugeSd * random.normal();
        let out = false;
        for (let n = 0; n < hold.correctEvery; n++) {
          s = nextStandoff(rig, s, hold.common, random);
          out ||= Math.abs(s - 3) > 0.6;
        }
        builds++;
        if (out) left++;
      }
    }
    // Not by measuring after every layer.
    expect(mean(waits)).toBeGreaterThan(2);
    // Three binomial sd above 5 %.
    expect(left / builds).toBeLessThan(0.05 + 3 * Math.sqrt((0.05 * 0.95) / builds));
  });

  test("says how often to correct and how fast errors heal", () => {
    const hold = holdingRise(fitDrift(one, { gaugeSd: 0.1 }), { standoff: 4, margin: 0.8, seed: 1 });
    expect(hold.halfLife).toBeGreaterThan(1);
    expect(hold.halfLife).toBeLessThan(4);
    expect(hold.correctEvery).toBeGreaterThan(5);
    expectDigits(hold.common, hold.rise[0]!.estimate, 12);
  });
});
