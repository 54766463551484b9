import { type RandomStream, randomStream } from "../../lib/numeric/index.js";
import {
  type BootstrapKind,
  bootstrap,
  fitNonlinear,
  formulaModel,
  profileIntervals,
  requireConverged,
  tIntervals,
} from "../../lib/regression/index.js";

const model = formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] });
const truth = [20, 0.5];
const grid = Array.from({ length: 40 }, (_, i) => [0.25 * (i + 1)]);

type Interval = { readonly lower: number; readonly upper: number };
const holds = ({ lower, upper }: Interval, value: number): boolean => lower <= value && value <= upper;

function report(name: string, hits: readonly number[], repeats: number): void {
  const shares = hits.map((count) => `${((100 * count) / repeats).toFixed(1)} %`);
  console.log(`  ${name.padEnd(24)} a ${shares[0]}, k ${shares[1]} (aim 93.5 to 96.5 %)`);
}

/**
 * Long coverage runs of nominal 95 % intervals of a nonlinear model, 40 rows: what the tests check on a straight line
 * and on 12 rows in shorter runs.
 */
export function benchCoverage(repeats = 1000, resamples = 600): void {
  const simulate = (kind: BootstrapKind, random: RandomStream) => {
    const x = kind === "case" ? grid.map(() => [0.25 + 9.75 * random.uniform()]) : grid;
    const sd = (t: number): number => (kind === "wild" ? 0.3 + 0.1 * t : 0.8);
    const y = x.map((row) => model.predict(truth, row) + sd(row[0]!) * random.normal());
    return requireConverged(fitNonlinear({ x, y }, model, { start: truth }));
  };
  const tally = (
    name: string,
    intervalsOf: (random: RandomStream, k: number) => readonly Interval[],
  ): void => {
    const hits = [0, 0];
    const random = randomStream(61).split(name);
    for (let k = 0; k < repeats; k++) {
      intervalsOf(random, k).forEach((interval, j) => {
        if (holds(interval, truth[j]!)) hits[j] = hits[j]! + 1;
      });
    }
    report(name, hits, repeats);
  };
  tally("t interval", (random) => tIntervals(simulate("residual", random)));
  tally("profile interval", (random) => profileIntervals(simulate("residual", random), model));
  for (const kind of ["residual", "case", "wild"] as const) {
    tally(
      `${kind} bootstrap`,
      (random, seed) => bootstrap(simulate(kind, random), model, { kind, seed, resamples }).intervals,
    );
  }
}
