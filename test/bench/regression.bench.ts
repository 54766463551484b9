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
import { askPeer, type BenchRow, medianTime } from "./peer.js";

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

/** All 54 fits, in the order of problems and starts. */
function timeOurs(dress: (model: Model) => Model): Timing[] {
  return nistProblems.flatMap((problem) => {
    const model = dress(formulaModel(problem.model, problem));
    const observations = { x: problem.x, y: nistResponse(problem) };
    return problem.starts.map((start) => ({
      ms: medianTime(() => fitNonlinear(observations, model, { start }), 41, 200),
      ok: solved(fitNonlinear(observations, model, { start }), problem),
    }));
  });
}

/** SciPy's curve_fit with its defaults on vectorised models, after a warm-up. */
function timeScipy(): Timing[] | undefined {
  const cases = nistProblems.map((problem) => ({ ...problem, y: nistResponse(problem) }));
  return askPeer<Timing[]>(
    "/usr/bin/python3",
    `
import json, time, warnings
import numpy as np
from scipy.optimize import curve_fit
warnings.simplefilter("ignore")
names = {k: getattr(np, k) for k in ("exp", "cos", "sin", "log", "pi")}; names["atan"] = np.arctan
out = []
for d in json.loads(r'''${JSON.stringify(cases)}'''):
    x = np.array(d["x"], float).T; y = np.array(d["y"], float)
    row = ",".join(d["variables"]); theta = ",".join(d["parameters"]); body = d["model"].replace("^", "**")
    if len(d["variables"]) == 1:
        f = eval(f"lambda {row},{theta}: {body}", names); data = x[0]
    else:
        f = eval(f"lambda X,{theta}: (lambda {row}: {body})(*X)", names); data = x
    for start in d["starts"]:
        times = []
        for k in range(23):
            begin = time.perf_counter()
            try:
                p, c = curve_fit(f, data, y, p0=start); ok = bool(np.all(np.abs(p / np.array(d["certified"]["estimates"]) - 1) < 1e-4))
            except Exception:
                ok = False
            if k > 1: times.append((time.perf_counter() - begin) * 1000)
        out.append({"ms": float(np.median(times)), "ok": ok})
print(json.dumps(out))
`,
  );
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

/** Times the 54 certified NIST fits against SciPy and R, geometric means of medians. */
export async function bench(): Promise<BenchRow[]> {
  const formula = timeOurs((model) => model);
  const bare = timeOurs(({ parameters, predict }) => ({ parameters, predict }));
  const scipy = timeScipy();
  const r = timeR();
  return [
    compare("NIST nonlinear, model as a formula", formula, "SciPy curve_fit", scipy, "ratio <= 0.5"),
    compare("NIST nonlinear, model as a bare function", bare, "SciPy curve_fit", scipy, "report"),
    compare("NIST nonlinear, model as a formula", formula, "R nls", r, "report"),
    bootstrapRow(),
  ];
}
