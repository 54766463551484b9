import { expect, test } from "vitest";
import {
  fitArcVoltage,
  fitMeltingLaw,
  fitTipDistance,
  heightResolution,
} from "../../../lib/models/stickout/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { currentForFeed, currentPerExtension, meltingSpeed } from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";

const law = { alpha: 0.3, beta: 5e-5 };
const grid = [120, 160, 200, 240, 280].flatMap((current) =>
  [10, 15, 20].map((extension) => ({ current, extension })),
);
const estimate = (
  fit: { coefficients: readonly { name: string; estimate: number }[] },
  name: string,
): number => fit.coefficients.find((one) => one.name === name)!.estimate;

test("fitMeltingLaw gives back the law of exact readings, also through the rms current of a pulsed arc", () => {
  for (const factor of [1, 1.2]) {
    const fit = fitMeltingLaw(
      grid.map(({ current, extension }) => ({
        current,
        extension,
        rmsCurrent: factor * current,
        wireFeedSpeed: meltingSpeed({ coefficients: law, current, extension, rmsCurrent: factor * current }),
      })),
    );
    expectDigits(estimate(fit, "alpha"), law.alpha, 9);
    expectDigits(estimate(fit, "beta"), law.beta, 9);
  }
});

test("fitMeltingLaw's 95 % intervals hold the law in about 95 % of noisy sets", () => {
  let held = 0;
  for (let i = 0; i < 300; i++) {
    const random = randomStream(i);
    const fit = fitMeltingLaw(
      grid.map((at) => ({
        ...at,
        wireFeedSpeed:
          meltingSpeed({ coefficients: law, current: at.current, extension: at.extension }) +
          2 * random.normal(),
      })),
    );
    const beta = fit.coefficients.find(({ name }) => name === "beta")!;
    if (beta.lower <= law.beta && law.beta <= beta.upper) held++;
  }
  // 285 of 300 expected; 3 binomial sd are 11.
  expect(held).toBeGreaterThan(273);
  expect(held).toBeLessThan(297);
});

test("fitArcVoltage finds volts per mm and the height a reading resolves", () => {
  const random = randomStream(4);
  const readings = [2, 3, 4].flatMap((arcLength) =>
    Array.from({ length: 8 }, () => ({
      arcLength,
      current: 150,
      voltage: 9.5 + 0.8 * arcLength + 0.1 * random.normal(),
    })),
  );
  const fit = fitArcVoltage(readings);
  expect(Math.abs(estimate(fit, "arcLength") - 0.8)).toBeLessThan(0.08);
  expect(Math.abs(heightResolution(fit, "arcLength")! - 0.125)).toBeLessThan(0.04);
  const flat = fitArcVoltage(readings.map((one) => ({ ...one, voltage: 12 + 0.1 * random.normal() })));
  expect(flat.findings.map(({ code }) => code)).toContain("voltage-no-gauge");
});

test("fitTipDistance has the slope of the melting law at constant feed", () => {
  const readings = [18, 19, 20, 21, 22].map((contactTipDistance) => ({
    contactTipDistance,
    wireFeedSpeed: 90,
    current: currentForFeed(law, 90, contactTipDistance - 5),
  }));
  const fit = fitTipDistance(readings);
  expectDigits(estimate(fit, "contactTipDistance"), currentPerExtension(law, 200, 15), 1.9);
  expect(fit.findings).toEqual([]);
  const wrong = fitTipDistance(readings.map((one) => ({ ...one, current: 400 - one.current })));
  expect(wrong.findings.map(({ code }) => code)).toContain("current-does-not-fall");
});
