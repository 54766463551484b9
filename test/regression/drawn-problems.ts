import { BeadbenchError } from "../../lib/errors/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import {
  bootstrap,
  fitGaussianProcess,
  fitLinear,
  fitNonlinear,
  fitRandomBlock,
  formulaModel,
  profileIntervals,
} from "../../lib/regression/index.js";

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

/** Runs one drawn problem, degenerate, collinear, constant or of absurd scale as often as not; names what it ran. */
export function runDrawnProblem(seed: number): string {
  const random = randomStream(seed);
  const pick = <T>(list: readonly T[]): T => list[random.integer(0, list.length - 1)]!;
  const rows = random.integer(4, 20);
  const scale = pick([1, 1, 1, 1e-12, 1e12, 1e-150, 1e150]);
  const spread = pick([1, 1, 1e-4, 1e-9, 0]);
  const noise = pick([0, 1e-14, 0.1, 1]);
  const z = Array.from({ length: rows }, (_, i) => 1 + spread * (i / rows + 0.1 * random.normal()));
  const y = z.map((v) => scale * (2 + v + noise * random.normal()));
  const x = z.map((v) => [v]);
  const kind = pick(["formula", "bare", "linear", "blocks", "process"]);
  try {
    if (kind === "linear") fitLinear({ x: z.map((v) => [1, v]), y }, { names: ["a", "b"] });
    else if (kind === "blocks") {
      const block = z.map((_, i) => `b${i % pick([2, 3, rows])}`);
      fitRandomBlock({ x: z.map((v) => [1, v]), y, block }, { names: ["a", "b"] });
    } else if (kind === "process") fitGaussianProcess({ x, y });
    else {
      const whole = pick(formulas);
      const { parameters, predict } = whole;
      const model = kind === "formula" ? whole : { parameters, predict };
      const start = parameters.map(() => pick([1, scale, 0, random.normal()]));
      const fit = fitNonlinear({ x, y }, model, { start });
      if (fit.status === "converged") {
        profileIntervals(fit, model);
        bootstrap(fit, model, { kind: "residual", seed, resamples: 20 });
      }
    }
  } catch (error) {
    if (!(error instanceof BeadbenchError)) throw error;
  }
  return kind;
}
