import { describe, expect, test } from "vitest";
import { fitStudy, predictBead, type StudyFit } from "../../../lib/models/index.js";
import { median, quantile, randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { coupon, shows, sizeOf } from "../../support/studies.js";
import { simulateDays, widthByDay } from "./simulate-days.js";
import { byForm } from "./support.js";
import { drawMig, migBeads, migLaws, migStudy } from "./together-laws.js";

const study = { definition: migStudy };
const fitOf = (coupons: readonly Coupon[]): StudyFit => fitStudy({ definition: migStudy, coupons });

/** Root mean square error of ln width at settings not run, and the share of next coupons inside their intervals. */
function judge(fit: StudyFit, law: string, seed: number): { readonly error: number; readonly held: number } {
  const noise = randomStream(seed).split("next");
  const points = drawMig(seed + 70000, 40, 0.05);
  const predictions = predictBead(study, fit, points).map(([p]) => p!);
  let squares = 0;
  let held = 0;
  predictions.forEach(({ estimate, prediction }, i) => {
    const truth = migLaws[law]!(points[i]!);
    squares += (Math.log(Math.max(estimate, 1e-3)) - truth) ** 2;
    const next = Math.exp(truth + 0.05 * noise.normal());
    if (prediction.lower <= next && next <= prediction.upper) held++;
  });
  return { error: Math.sqrt(squares / points.length + 0.05 ** 2), held: held / points.length };
}

const names = Object.keys(migLaws);

describe("all forms together, on laws that no form holds", () => {
  // The best of the single forms in hindsight is more than anyone can choose.
  test.each([
    [16, 20, 1.08],
    [36, 44, 1.03],
  ] as const)(
    "from %i settings err on average %s coupons no more than %s of the best form in hindsight",
    (settings, coupons, most) => {
      const ratios: number[] = [];
      const held: number[] = [];
      for (const law of names) {
        for (const seed of [1, 2, 3]) {
          const fit = fitOf(migBeads(law, seed, settings, coupons));
          const [response] = fit.responses;
          const own = judge({ ...fit, responses: [{ ...response!, foreseenBy: "together" }] }, law, seed);
          const best = Math.min(
            ...response!.forms.map(({ form }) => judge(byForm(fit, form), law, seed).error),
          );
          ratios.push(Math.log(own.error / best));
          held.push(own.held);
        }
      }
      expect(Math.exp(ratios.reduce((a, b) => a + b, 0) / ratios.length)).toBeLessThan(most);
      const share = held.reduce((a, b) => a + b, 0) / held.length;
      expect(share).toBeGreaterThan(0.92);
      expect(share).toBeLessThan(0.98);
    },
  );

  test("twelve settings: errors stay near those of a power law, and intervals hold", () => {
    const errors: number[] = [];
    const power: number[] = [];
    const held: number[] = [];
    for (let seed = 1; seed <= 28; seed++) {
      const law = names[seed % names.length]!;
      const fit = fitOf(migBeads(law, seed, 12, seed % 2 === 0 ? 12 : 24));
      const own = judge(fit, law, seed);
      errors.push(own.error);
      held.push(own.held);
      power.push(judge(byForm(fit, "power-law"), law, seed).error);
    }
    expect(quantile(errors, 0.9)).toBeLessThan(1.1 * quantile(power, 0.9));
    expect(median(errors)).toBeLessThan(1.05 * median(power));
    const share = held.reduce((a, b) => a + b, 0) / held.length;
    expect(share).toBeGreaterThan(0.92);
    expect(share).toBeLessThan(0.98);
  });
});

describe("the forecast of a fit", () => {
  test("is plain data, says who speaks, and what single forms err", () => {
    const fit = fitOf(migBeads("saturating", 3, 16, 20));
    const [response] = fit.responses;
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
    expect(response!.forecastExplanation).toMatch(/^predicted by (all forms together: |the )/);
    expect(response!.forecastExplanation).toMatch(/blended surface \d+ %/);
    const { says } = response!.together!;
    const total = says.reduce((sum, { weight }) => sum + weight, 0);
    expect(total).toBeGreaterThan(0.98);
    expect(total).toBeLessThanOrEqual(1 + 1e-9);
  });

  test("falls back on the chosen form with too few settings, and says so", () => {
    const [first] = drawMig(4, 1);
    const beads = [0.9, 1, 1.1].flatMap((f, i) =>
      [1, 2, 3].map((k) =>
        coupon(`F${i}${k}`, {
          settings: { ...first!, current: 180 * f },
          measured: { bead_width: 6 * f ** 0.5 * (1 + 0.02 * randomStream(9 * i + k).normal()) },
        }),
      ),
    );
    const [response] = fitOf(beads).responses;
    expect(response!.together).toBeUndefined();
    expect(response!.foreseenBy).toBe("chosen");
    expect(response!.forecastExplanation).toMatch(/too few settings/);
  });

  test("tolerates a slip of the pen, names it, and errs less than the power law that believes it", () => {
    const beads = migBeads("power", 6, 16, 24);
    const slipped = beads.map((bead, i) =>
      i === 5 ? shows(bead, { measured: { bead_width: 2 * sizeOf(bead, "bead_width") } }) : bead,
    );
    const fit = fitOf(slipped);
    expect(fit.responses[0]!.together!.slips.map(({ coupon: id }) => id)).toEqual(["M6"]);
    expect(fit.findings.find(({ code }) => code === "likely-slip")?.message).toMatch(/^bead_width: M6 \(/);
    expect(judge(fit, "power", 6).error).toBeLessThan(judge(byForm(fit, "power-law"), "power", 6).error);
  });

  test("counts the shift of a day to come", () => {
    let inside = 0;
    const STUDIES = 40;
    for (let seed = 1; seed <= STUDIES; seed++) {
      const { beads, next } = simulateDays(seed, { days: 6, perDay: 4, shift: 0.06, scatter: 0.03 });
      const definition = widthByDay(["day"]);
      const fit = fitStudy({ definition, coupons: beads.map(({ logged }) => logged) });
      const said = predictBead({ definition }, fit, [next.logged.settings])[0]![0]!;
      if (said.prediction.lower <= next.width && next.width <= said.prediction.upper) inside++;
    }
    expect(inside).toBeGreaterThanOrEqual(35);
  });
});
