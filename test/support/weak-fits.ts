import { type RandomStream, randomStream } from "../../lib/numeric/index.js";
import { formulaModel, type Model } from "../../lib/regression/index.js";

/** One kind of weakly determined fit: a model, settings, truth and scatter that leave wide, skewed profiles. */
export interface WeakKind {
  readonly name: string;
  /** The formula in R's spelling. */
  readonly formula: string;
  readonly model: Model;
  readonly truth: readonly number[];
  settings(random: RandomStream): readonly (readonly number[])[];
  /** Standard deviation of one observation of mean mu. */
  sd(mu: number): number;
}

const grid = [100, 150, 200].flatMap((current) => [2, 4, 6].map((speed) => [current, speed]));
const times = (list: readonly number[]) => () => list.map((t) => [t]);
const powerLaw = formulaModel("a * I^b * v^c", { variables: ["I", "v"] });

/** Power laws on few coupons, growth seen too early, saturation not reached, a decay that has not levelled. */
export const WEAK_KINDS: readonly WeakKind[] = [
  {
    name: "power law, 3 x 3",
    formula: "a * I^b * v^c",
    model: powerLaw,
    truth: [0.5, 0.6, -0.4],
    settings: () => grid,
    sd: (mu) => 0.1 * mu,
  },
  {
    name: "power law, 10 scattered coupons",
    formula: "a * I^b * v^c",
    model: powerLaw,
    truth: [0.5, 0.6, -0.4],
    settings: (random) =>
      Array.from({ length: 10 }, () => [100 + 100 * random.uniform(), 2 + 4 * random.uniform()]),
    sd: () => 0.5,
  },
  {
    name: "growth a (1 - exp(-k t))",
    formula: "a * (1 - exp(-k * t))",
    model: formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] }),
    truth: [20, 0.5],
    settings: times([0.3, 0.6, 1, 1.4, 1.8, 2.2, 2.6, 3]),
    sd: () => 1,
  },
  {
    name: "saturation m x / (k + x)",
    formula: "m * t / (k + t)",
    model: formulaModel("m * t / (k + t)", { variables: ["t"] }),
    truth: [10, 2],
    settings: times([0.3, 0.6, 1, 1.5, 2, 2.5, 3, 3.5]),
    sd: () => 0.3,
  },
  {
    name: "decay f + r exp(-k t)",
    formula: "f + r * exp(-k * t)",
    model: formulaModel("f + r * exp(-k * t)", { variables: ["t"] }),
    truth: [5, 10, 0.8],
    settings: times([0, 0.3, 0.6, 1, 1.4, 1.8, 2.2, 2.6, 3, 3.5]),
    sd: () => 0.4,
  },
];

export interface WeakProblem {
  readonly kind: WeakKind;
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
}

/** The same `perKind` problems of each kind on every machine. */
export function weakProblems(perKind: number): WeakProblem[] {
  return WEAK_KINDS.flatMap((kind) => {
    const random = randomStream(71).split(kind.name);
    return Array.from({ length: perKind }, () => {
      const x = kind.settings(random);
      const y = x.map((row) => {
        const mu = kind.model.predict(kind.truth, row);
        return mu + kind.sd(mu) * random.normal();
      });
      return { kind, x, y };
    });
  });
}
