import { expect, test } from "vitest";
import { fitBetterPowerLaw } from "../../../lib/models/bead/power-law-fit.js";
import { type Coefficient, predictForm } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";
import { coupon, tigDefinition } from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";

const definition = tigDefinition({
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/s", low: 2, high: 6 },
  ],
  responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
});
const exponents = { current: 0.6, travel_speed: -0.4 };
type Settings = Readonly<Record<keyof typeof exponents, number>>;
const law = (s: Settings): number => 6 * (s.current / 140) ** 0.6 * (s.travel_speed / 4) ** -0.4;

const grid = (currents: readonly number[], speeds: readonly number[]): readonly Settings[] =>
  currents.flatMap((current) => speeds.map((travel_speed) => ({ current, travel_speed })));
const square = grid([100, 150, 200], [2, 4, 6]);

/** Kinds of scatter: what a coupon of mean mu shows for a standard normal error. */
const kinds = {
  "3 % of the width": (mu: number, z: number) => mu * Math.exp(0.03 * z),
  "8 % of the width": (mu: number, z: number) => mu * Math.exp(0.08 * z),
  "0.5 mm everywhere": (mu: number, z: number) => mu + 0.5 * z,
};

const holds = ({ lower, upper }: { lower: number; upper: number }, value: number): boolean =>
  lower <= value && value <= upper;

test.each(Object.entries(kinds))(
  "nine coupons with scatter of %s: every interval of the power law a study gets is nominal",
  (_, draw) => {
    const random = randomStream(97);
    const names = ["coefficient", "exponent of current", "exponent of travel speed", "mean", "next coupon"];
    const shares = coverage(1000, () => {
      const coupons = square.map((settings, i) =>
        coupon(`S${i + 1}`, {
          order: i + 1,
          settings,
          measured: { bead_width: draw(law(settings), random.normal()) },
        }),
      );
      const form = fitBetterPowerLaw(powerLawData({ definition, coupons }, "bead_width"));
      const at = { current: 120 + 60 * random.uniform(), travel_speed: 2.5 + 3 * random.uniform() };
      const [said] = predictForm({ definition }, form, [at]);
      const reference = Object.fromEntries(form.terms.map((term) => [term.factor, term.reference]));
      const next = draw(law(at), random.normal());
      return [
        holds(form.atReference, law(reference as Settings)),
        ...form.coefficients.map((c: Coefficient) => holds(c, exponents[c.term as keyof typeof exponents])),
        holds(said!.confidence, law(at)),
        holds(said!.prediction, next),
      ];
    });
    shares.forEach((share, j) => {
      expectNominal(share, names[j]!);
    });
    expect(shares.reduce((sum, share) => sum + share, 0) / shares.length).toBeGreaterThan(0.94);
  },
);

test("scatter that is the same everywhere is taken as such only where it is clearly better", () => {
  const random = randomStream(98);
  const additive = (draw: (mu: number, z: number) => number, copies: number): number => {
    const [share] = coverage(100, () => {
      const coupons = Array.from({ length: copies }, () => square)
        .flat()
        .map((settings, i) =>
          coupon(`S${i + 1}`, { settings, measured: { bead_width: draw(law(settings), random.normal()) } }),
        );
      return [fitBetterPowerLaw(powerLawData({ definition, coupons }, "bead_width")).error === "additive"];
    });
    return share!;
  };
  expect(additive(kinds["8 % of the width"], 2)).toBeLessThan(0.1);
  expect(additive(kinds["0.5 mm everywhere"], 8)).toBeGreaterThan(0.7);
});
