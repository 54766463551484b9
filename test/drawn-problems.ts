import { evaluatePlan, planCoupons } from "../lib/design/index.js";
import { BeadbenchError } from "../lib/errors/index.js";
import { fitCooling, fitPurge } from "../lib/models/decay/index.js";
import { fitSection } from "../lib/models/section/index.js";
import { fitDrift, forecastStandoff, holdingRise } from "../lib/models/standoff/index.js";
import {
  noncentralFCdf,
  noncentralTCdf,
  noncentralTQuantile,
  type RandomStream,
  randomStream,
} from "../lib/numeric/index.js";
import { heightForArea, thickPlatePool, thinPlatePool } from "../lib/process/index.js";
import {
  bootstrap,
  fitGaussianProcess,
  fitLinear,
  fitLogistic,
  fitNonlinear,
  fitOrdinal,
  fitRandomBlock,
  fitRobust,
  formulaModel,
  leaveOneOut,
  leaveOneOutRefit,
  linearModel,
  predict,
  predictGaussianProcess,
  predictLogistic,
  predictOrdinal,
  predictRandomBlock,
  profileIntervals,
} from "../lib/regression/index.js";

const formulas = [
  "a + b * z",
  "a * exp(-b * z)",
  "a * exp(-b * z) + c",
  "a * z ^ b",
  "a * log(b * z)",
  "a / (b + z)",
  "sqrt(a - b * z)",
  "a * sin(b * z + c)",
  "a * exp(-((z - b) / c)^2)",
  "a * b * z",
].map((formula) => formulaModel(formula, { variables: ["z"] }));

/** What the problems are drawn from: rows collinear, constant or of absurd scale as often as not. */
class Draw {
  readonly random: RandomStream;
  readonly scale: number;
  readonly z: readonly number[];
  readonly y: readonly number[];
  /** A constant and z. */
  readonly x: readonly (readonly number[])[];
  readonly names = ["a", "b"];

  constructor(seed: number) {
    this.random = randomStream(seed);
    const rows = this.random.integer(4, 20);
    this.scale = this.pick([1, 1, 1, 1e-12, 1e12, 1e-150, 1e150]);
    const spread = this.pick([1, 1, 1e-4, 1e-9, 0]);
    const noise = this.pick([0, 1e-14, 0.1, 1]);
    this.z = this.list(rows, (i) => 1 + spread * (i / rows + 0.1 * this.random.normal()));
    this.y = this.z.map((v) => this.scale * (2 + v + noise * this.random.normal()));
    this.x = this.z.map((v) => [1, v]);
  }

  pick<T>(from: readonly T[]): T {
    return from[this.random.integer(0, from.length - 1)]!;
  }

  list<T>(length: number, make: (i: number) => T): T[] {
    return Array.from({ length }, (_, i) => make(i));
  }

  /** A positive size, usual or absurd. */
  size(usual: number): number {
    return usual * this.pick([1, 1, 1, 0.5, 2, 1e-3, 1e3, 1e-9, 1e9, 1e-150, 1e150]);
  }
}

type Problem = (draw: Draw, seed: number) => readonly unknown[];

const nonlinear =
  (dress: "formula" | "bare"): Problem =>
  (draw, seed) => {
    const whole = draw.pick(formulas);
    const { parameters, predict: values } = whole;
    const model = dress === "formula" ? whole : { parameters, predict: values };
    const start = parameters.map(() => draw.pick([1, draw.scale, 0, draw.random.normal()]));
    const rows = { x: draw.z.map((v) => [v]), y: draw.y };
    const fit = fitNonlinear(rows, model, { start });
    if (fit.status !== "converged") return [fit];
    return [
      fit,
      profileIntervals(fit, model),
      bootstrap(fit, model, { kind: draw.pick(["residual", "case", "wild"] as const), seed, resamples: 20 }),
      leaveOneOut(fit),
      leaveOneOutRefit(fit, model),
      predict({ fit, model, x: [[draw.z[0]!], [1e3]] }),
    ];
  };

const robust: Problem = (draw) => {
  const kind = draw.pick(["huber", "bisquare"] as const);
  const names = draw.names;
  if (draw.random.uniform() < 0.5) {
    const rows = { x: draw.x, y: draw.y };
    return [
      fitRobust({
        observations: rows,
        model: linearModel(names),
        leastSquares: (weighed) => fitLinear(weighed, { names }),
        kind,
      }),
    ];
  }
  const model = draw.pick(formulas);
  const start = model.parameters.map(() => draw.random.normal());
  const rows = { x: draw.z.map((v) => [v]), y: draw.y };
  return [
    fitRobust({
      observations: rows,
      model,
      leastSquares: (weighed) => fitNonlinear(weighed, model, { start }),
      kind,
    }),
  ];
};

const logistic: Problem = (draw) => {
  const cut = draw.random.normal();
  const passes = draw.z.map((v, i) => (draw.pick([v - 1 > cut, i % 2 === 0, true]) ? 1 : 0));
  const fit = fitLogistic(
    { x: draw.x.map((row) => row.map((v) => v * draw.scale)), passes },
    {
      names: draw.names,
      penalty: draw.pick(["firth", "none"] as const),
      flic: draw.pick([true, false]),
      intervals: draw.pick(["profile", "wald"] as const),
    },
  );
  return [
    fit,
    predictLogistic(fit, [
      [1, draw.z[0]!],
      [1, 1e3],
    ]),
  ];
};

const ordinal: Problem = (draw) => {
  const grades = ["poor", "fair", "good"];
  const grade = draw.z.map((v) => draw.pick([grades[v > 1 ? 2 : 0]!, draw.pick(grades)]));
  const x = draw.z.map((v) => [v * draw.scale]);
  const fit = fitOrdinal({ x, grade }, { names: ["b"], grades });
  return [fit, predictOrdinal(fit, [[1], [1e3]])];
};

const blocks: Problem = (draw) => {
  const every = draw.pick([2, 3, draw.z.length]);
  const block = draw.z.map((_, i) => `b${i % every}`);
  const fit = fitRandomBlock({ x: draw.x, y: draw.y, block }, { names: draw.names });
  return [fit, predictRandomBlock(fit, [[1, 1e3]])];
};

const process: Problem = (draw) => {
  const fit = fitGaussianProcess({ x: draw.z.map((v) => [v, draw.random.uniform()]), y: draw.y });
  return [
    fit,
    predictGaussianProcess(fit, [
      [1, 0.5],
      [1e6, 0],
    ]),
  ];
};

const cooling: Problem = (draw) => {
  const floor = draw.pick([20, 20, 200, 1e4]);
  const rate = draw.size(0.02);
  const readings = draw.z.map((_, i) => ({
    time: 20 * i,
    temperature: floor + draw.size(400) * Math.exp(-rate * 20 * i) + draw.pick([0, 2]) * draw.random.normal(),
  }));
  return [fitCooling(readings, draw.pick([{}, { surroundings: 20 }]))];
};

const purge: Problem = (draw) => {
  const rate = draw.size(0.3);
  const readings = draw.z.map((_, i) => ({
    time: i,
    oxygen: Math.max(
      1,
      (200_000 * Math.exp(-rate * i) + draw.size(20)) * Math.exp(0.1 * draw.random.normal()),
    ),
  }));
  return [fitPurge(readings, { flow: draw.size(15), volume: draw.size(60) })];
};

const section: Problem = (draw) => {
  const [height, width] = [draw.size(2), draw.size(6)];
  const noise = draw.pick([0, 0.05, 1]);
  const points = draw.list(draw.random.integer(12, 60), (i) => {
    const x = width * (i / 30 - 0.7);
    return { x, y: Math.max(0, height * (1 - ((2 * x) / width) ** 2)) + noise * draw.random.normal() };
  });
  return [fitSection(points, { base: draw.pick(["measured", "level"] as const) })];
};

const standoff: Problem = (draw, seed) => {
  let s = 3;
  const scatter = draw.pick([0, 0.05, 0.5, 5]);
  const log = draw.list(draw.random.integer(5, 40), (i) => {
    s += draw.pick([0, 0.02, 0.3]) - draw.pick([0, 0.1]) * (s - 3) + scatter * draw.random.normal();
    return { layer: i + 1, standoff: Math.abs(s) + 0.1, rise: draw.pick([1.5, 1.5, 1.5, draw.size(1.5)]) };
  });
  const fit = fitDrift(log, { gaugeSd: draw.pick([0.05, 0.1, 1e-9, 10]), points: 16, skipLayers: 0 });
  return [
    fit,
    forecastStandoff(fit, { layers: 20, rise: 1.5, touch: 0.5, tooLong: 8, draws: 100, seed }),
    holdingRise(fit, { standoff: 3, margin: 1, draws: 100, seed }),
  ];
};

const designs: Problem = (draw, seed) => {
  const factors = draw.list(draw.random.integer(1, 4), (i) => {
    const low = draw.pick([0, 1, -5, 1e6]);
    const high = low + draw.pick([1, 10, 1e-3]);
    return draw.random.uniform() < 0.2
      ? { name: `f${i}`, kind: "category" as const, levels: ["p", "q", "r"], unit: "1" }
      : { name: `f${i}`, unit: "1", low, high, step: (high - low) / draw.pick([1, 2, 7, 100]) };
  });
  const plan = planCoupons({
    factors,
    coupons: draw.random.integer(2, 24),
    ...draw.pick([
      { design: "optimal" },
      { design: "optimal" },
      { design: "latin-hypercube" },
      { design: "sobol" },
      { design: "fractional" },
      {},
    ] as const),
    criterion: draw.pick(["D", "A", "I"] as const),
    blocks: draw.pick([1, 1, 2, 3]),
    order: draw.pick(["random", "drift-robust"] as const),
    starts: 5,
    limits:
      draw.random.uniform() < 0.6
        ? []
        : [
            {
              name: "sum",
              unit: "1",
              max: draw.pick([0, 5, -1e9]),
              value: (at) =>
                Object.values(at).reduce<number>((sum, v) => sum + (typeof v === "number" ? v : 0), 0),
            },
          ],
    seed,
  });
  return [plan, evaluatePlan(plan, { change: draw.size(1), sd: draw.size(1) })];
};

const distributions: Problem = (draw) => [
  noncentralTCdf(draw.size(2), draw.size(8), draw.size(2)),
  noncentralTQuantile(draw.pick([1e-9, 0.5, 1 - 1e-9]), draw.size(8), draw.pick([0.3, 3, 100])),
  noncentralFCdf({ x: draw.size(4), df1: draw.size(3), df2: draw.size(10), noncentrality: draw.size(10) }),
];

const physics: Problem = (draw) => {
  const source = {
    netPower: draw.size(1000),
    travelSpeed: draw.size(3),
    conductivity: draw.size(0.03),
    diffusivity: draw.size(6),
    volumetricHeat: draw.size(5e-3),
    startTemperature: 20,
  };
  return [
    heightForArea(draw.pick(["parabola", "circular-arc"] as const), draw.size(8), draw.size(6)),
    draw.pick([() => thickPlatePool(source, 1450), () => thinPlatePool(source, draw.size(4), 1450)])(),
  ];
};

const problems: Readonly<Record<string, Problem>> = {
  formula: nonlinear("formula"),
  bare: nonlinear("bare"),
  linear: (draw) => {
    const fit = fitLinear({ x: draw.x, y: draw.y }, { names: draw.names });
    return fit.status === "converged" ? [fit, leaveOneOut(fit)] : [fit];
  },
  robust,
  logistic,
  ordinal,
  blocks,
  process,
  cooling,
  purge,
  section,
  standoff,
  designs,
  distributions,
  physics,
};

export const drawnKinds: readonly string[] = Object.keys(problems);

/** Path of the first number in a result that is not one. */
function notNumber(value: unknown, path: string): string | undefined {
  if (typeof value === "number") return Number.isNaN(value) ? path : undefined;
  if (typeof value !== "object" || value === null) return undefined;
  for (const [key, part] of Object.entries(value)) {
    const found = notNumber(part, `${path}.${key}`);
    if (found !== undefined) return found;
  }
  return undefined;
}

/**
 * Runs one drawn problem of a kind.
 *
 * @returns whether it was answered, or refused by an error of the library
 * @throws any other error, and one where a result holds NaN
 */
export function runDrawnProblem(kind: string, seed: number): "answered" | "refused" {
  let results: readonly unknown[];
  try {
    results = problems[kind]!(new Draw(seed), seed);
  } catch (error) {
    if (error instanceof BeadbenchError) return "refused";
    throw error;
  }
  const found = notNumber(results, kind);
  if (found !== undefined) throw new Error(`${found} is NaN`);
  return "answered";
}
