import {
  type FreeForm,
  fitEnergyBalance,
  fitPowerLaw,
  fitResidualProcess,
  fitStudy,
  fitSurface,
  type PowerLawData,
  predictForm,
} from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { powerLawData } from "../models/bead/power-law-data.js";
import { beadsOf, drawSettings, laws, widthStudy } from "../models/bead/support.js";

const share = (count: number, of: number): string => `${((100 * count) / of).toFixed(1)} %`;

/** How often each form is chosen from coupons that follow each law. */
function choices(count: number, seeds: number): void {
  for (const law of Object.keys(laws) as readonly (keyof typeof laws)[]) {
    const chosen = new Map<string, number>();
    for (let seed = 1; seed <= seeds; seed++) {
      const { chosen: form } = fitStudy({ definition: widthStudy, coupons: beadsOf(laws[law], seed, count) })
        .responses[0]!;
      chosen.set(form, (chosen.get(form) ?? 0) + 1);
    }
    const counts = [...chosen].sort(([, a], [, b]) => b - a).map(([form, n]) => `${form} ${share(n, seeds)}`);
    console.log(`  ${count} coupons of law ${law}: ${counts.join(", ")}`);
  }
}

/** Shares of true means and of next coupons inside nominal 95 % intervals, at settings not run. */
function intervals(
  law: keyof typeof laws,
  count: number,
  seeds: number,
  make: (data: PowerLawData) => FreeForm,
): void {
  const hits = { confidence: 0, prediction: 0 };
  const perSeed = 4;
  let form = "";
  for (let seed = 1; seed <= seeds; seed++) {
    const noise = randomStream(seed).split("next");
    const fit = make(
      powerLawData({ definition: widthStudy, coupons: beadsOf(laws[law], seed, count) }, "bead_width"),
    );
    form = fit.form;
    const points = drawSettings(seed + 50000, perSeed, 0.1);
    predictForm({ definition: widthStudy }, fit, points).forEach(({ confidence, prediction }, i) => {
      const truth = laws[law](points[i]!);
      const inside = (x: typeof confidence, log: number): boolean =>
        x.lower <= Math.exp(log) && Math.exp(log) <= x.upper;
      if (inside(confidence, truth)) hits.confidence++;
      if (inside(prediction, truth + 0.05 * noise.normal())) hits.prediction++;
    });
  }
  const all = seeds * perSeed;
  console.log(
    `  ${form}, ${count} coupons of law ${law}: mean ${share(hits.confidence, all)}, next coupon ${share(hits.prediction, all)}`,
  );
}

/** Long runs of what the tests check on fewer seeds: the choice of a form, and the coverage of its intervals. */
export function benchBeadForms(seeds = 200): void {
  for (const count of [16, 24, 40]) choices(count, seeds);
  intervals("power-law", 16, 5 * seeds, (data) => fitPowerLaw(data, "proportional"));
  intervals("energy-balance", 16, 5 * seeds, (data) => fitEnergyBalance({ definition: widthStudy }, data));
  intervals("quadratic", 24, 5 * seeds, (data) =>
    fitSurface({ definition: widthStudy }, { data, order: "quadratic" }),
  );
  for (const law of ["power-law", "gaussian-process"] as const) {
    for (const count of [16, 24, 32, 48]) {
      intervals(law, count, seeds, (data) =>
        fitResidualProcess({ definition: widthStudy }, { data, base: fitPowerLaw(data, "proportional") }),
      );
    }
  }
}
