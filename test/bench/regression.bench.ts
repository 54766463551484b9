import { randomStream } from "../../lib/numeric/index.js";
import {
  bootstrap,
  type Fit,
  fitNonlinear,
  formulaModel,
  type Model,
  requireConverged,
} from "../../lib/regression/index.js";
import { type NistProblem, nistProblems, nistResponse } from "../regression/nist-problems.js";
import { correctDigits } from "../support/digits.js";
import { askPeer, type BenchRow, medianTime, startPeer } from "./peer.js";

interface Timing {
  readonly ms: number;
  readonly ok: boolean;
}

function geometricMean(values: readonly number[]): number {
  return Math.exp(values.reduce((sum, value) => sum + Math.log(value), 0) / values.length);
}

function solved(fit: Fit, { certified }: NistProblem): boolean {
  const digits = certified.estimates.map((value, j) => correctDigits(fit.estimates[j]!, value));
  return fit.status === "converged" && Math.min(...digits) >= 4;
}

interface Case {
  readonly problem: NistProblem;
  readonly start: readonly number[];
}

/** All 54 fits, in the order of problems and starts. */
const cases: readonly Case[] = nistProblems.flatMap((problem) =>
  problem.starts.map((start) => ({ problem, start })),
);

type Dress = (model: Model) => Model;
const dresses: readonly Dress[] = [(model) => model, ({ parameters, predict }) => ({ parameters, predict })];

/** Turns of ours and the peer's per fit, calls in a turn, calls before the first. */
const TURNS = 15;
const CALLS = 3;
const WARM_UP = 200;

/** SciPy's curve_fit with its defaults on vectorised models: reads the number of a fit, runs it, prints times. */
const scipyScript = (): string => `
import json, sys, time, warnings
import numpy as np
from scipy.optimize import curve_fit
warnings.simplefilter("ignore")
names = {k: getattr(np, k) for k in ("exp", "cos", "sin", "log", "pi")}; names["atan"] = np.arctan
fits = []
for d in json.loads(r'''${JSON.stringify(nistProblems.map((problem) => ({ ...problem, y: nistResponse(problem) })))}'''):
    x = np.array(d["x"], float).T; y = np.array(d["y"], float); want = np.array(d["certified"]["estimates"])
    row = ",".join(d["variables"]); theta = ",".join(d["parameters"]); body = d["model"].replace("^", "**")
    if len(d["variables"]) == 1:
        f = eval(f"lambda {row},{theta}: {body}", names); data = x[0]
    else:
        f = eval(f"lambda X,{theta}: (lambda {row}: {body})(*X)", names); data = x
    fits += [(f, data, y, start, want) for start in d["starts"]]
print("ready")
for line in sys.stdin:
    f, data, y, start, want = fits[int(line)]
    times = []
    for k in range(${CALLS}):
        begin = time.perf_counter()
        try:
            p, c = curve_fit(f, data, y, p0=start); ok = bool(np.all(np.abs(p / want - 1) < 1e-4))
        except Exception:
            ok = False
        times.append((time.perf_counter() - begin) * 1000)
    print(json.dumps({"times": times, "ok": ok}))
`;

interface Turn {
  readonly times: readonly number[];
  readonly ok: boolean;
}

function middle(turns: readonly Turn[]): Timing {
  const times = turns.flatMap((turn) => turn.times).sort((a, b) => a - b);
  return { ms: times[times.length >> 1]!, ok: turns.at(-1)!.ok };
}

function turnOfOurs({ problem, start }: Case, model: Model): Turn {
  const observations = { x: problem.x, y: nistResponse(problem) };
  let fit: Fit | undefined;
  const times = Array.from({ length: CALLS }, () => {
    const begin = performance.now();
    fit = fitNonlinear(observations, model, { start });
    return performance.now() - begin;
  });
  return { times, ok: solved(fit!, problem) };
}

/** Ours in each dress and SciPy's, one fit after the other, turn about. */
async function timeInTurns(): Promise<{ ours: Timing[][]; scipy: Timing[] | undefined }> {
  const peer = await startPeer(scipyScript());
  const ours: Timing[][] = dresses.map(() => []);
  const scipy: Timing[] = [];
  for (const [place, one] of cases.entries()) {
    const models = dresses.map((dress) => dress(formulaModel(one.problem.model, one.problem)));
    for (const model of models) for (let k = 0; k < WARM_UP / CALLS; k++) turnOfOurs(one, model);
    await peer?.ask(`${place}`);
    const turns: Turn[][] = dresses.map(() => []);
    const theirs: Turn[] = [];
    for (let turn = 0; turn < TURNS; turn++) {
      for (const [k, model] of models.entries()) turns[k]!.push(turnOfOurs(one, model));
      if (peer !== undefined) theirs.push(JSON.parse(await peer.ask(`${place}`)) as Turn);
    }
    for (const [k, list] of turns.entries()) ours[k]!.push(middle(list));
    if (peer !== undefined) scipy.push(middle(theirs));
  }
  peer?.end();
  return { ours, scipy: peer === undefined ? undefined : scipy };
}

/** R's nls with its defaults. */
function timeR(): Timing[] | undefined {
  const list = (values: readonly number[]): string => `c(${values.join(",")})`;
  const blocks = nistProblems.flatMap((problem) => {
    const columns = problem.variables.map((name, j) => `${name} = ${list(problem.x.map((row) => row[j]!))}`);
    return problem.starts.map((start) => {
      const first = problem.parameters.map((name, j) => `${name} = ${start[j]}`).join(", ");
      return `time_one(y ~ ${problem.model}, data.frame(y = ${list(nistResponse(problem))}, ${columns.join(", ")}), list(${first}), ${list(problem.certified.estimates)})`;
    });
  });
  return askPeer<Timing[]>(
    "Rscript",
    `
time_one <- function(formula, data, start, want) {
  ok <- FALSE
  run <- function() tryCatch({ fit <- nls(formula, data, start = start); ok <<- all(abs(coef(fit) / want - 1) < 1e-4) }, error = function(e) NULL)
  run()
  ms <- median(sapply(1:5, function(i) system.time(for (k in 1:10) run())[["elapsed"]])) * 100
  sprintf('{"ms": %g, "ok": %s}', max(ms, 0.05), if (ok) "true" else "false")
}
out <- c(${blocks.join(",\n")})
cat("[", paste(out, collapse = ","), "]")
`,
  );
}

function compare(
  name: string,
  ours: readonly Timing[],
  peer: string,
  theirs: readonly Timing[] | undefined,
  target: string,
): BenchRow {
  const ms = (list: readonly Timing[]): number => geometricMean(list.map((timing) => timing.ms));
  const count = (list: readonly Timing[]): number => list.filter(({ ok }) => ok).length;
  const peerMs = theirs === undefined ? Number.NaN : ms(theirs);
  return {
    name: `${name}: solves ${count(ours)} of 54`,
    ours_ms: ms(ours),
    peer: theirs === undefined ? peer : `${peer} (solves ${count(theirs)})`,
    peer_ms: peerMs,
    ratio: ms(ours) / peerMs,
    target,
  };
}

function bootstrapRow(): BenchRow {
  const model = formulaModel("low + (high - low) / (1 + exp((mid - x) / width))", { variables: ["x"] });
  const random = randomStream(12);
  const x = Array.from({ length: 40 }, (_, i) => [i / 4]);
  const y = x.map((row) => model.predict([1, 5, 5, 0.8], row) + 0.2 * random.normal());
  const fit = requireConverged(fitNonlinear({ x, y }, model, { start: [1, 5, 5, 1] }));
  const ours = medianTime(() => bootstrap(fit, model, { kind: "residual", seed: 1, resamples: 2000 }), 3, 1);
  return {
    name: "bootstrap, 2000 refits of 4 parameters to 40 rows",
    ours_ms: ours,
    peer: "none",
    peer_ms: Number.NaN,
    ratio: Number.NaN,
    target: "under 1000 ms",
  };
}

/** Times the 54 certified NIST fits against SciPy, turn about, and R: geometric means of medians. */
export async function bench(): Promise<BenchRow[]> {
  const { ours, scipy } = await timeInTurns();
  const [formula, bare] = ours as [Timing[], Timing[]];
  const r = timeR();
  return [
    compare("NIST nonlinear, model as a formula", formula, "SciPy curve_fit", scipy, "ratio <= 0.45"),
    compare("NIST nonlinear, model as a bare function", bare, "SciPy curve_fit", scipy, "ratio <= 0.70"),
    compare("NIST nonlinear, model as a formula", formula, "R nls", r, "report"),
    bootstrapRow(),
  ];
}
