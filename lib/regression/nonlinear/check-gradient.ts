import { BeadbenchError } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import { analyticSlopes, jacobian, makeProblem, norm, type Problem, sweep } from "../common/index.js";

/** Rows compared at most. */
const most = 16;
/** A column further off than this share of its length is wrong: differences are good to seven digits. */
const allowed = 1e-3;
/** A parameter that as a whole moves the values by less than this share of them is beyond the differences' rounding. */
const visible = 1e-6;

/** The problem on a spread of its rows. */
function sampled({ x, rows, model }: Problem): Problem {
  const count = Math.min(rows, most);
  const picked = Array.from({ length: count }, (_, k) => Math.floor((k * rows) / count));
  return makeProblem({ x: picked.map((i) => x[i]!), y: picked.map(() => 0) }, model);
}

/**
 * Compares a model's own gradient with differences of its values on some rows: a wrong one can still reach the minimum
 * and then misstates every standard error. Says nothing where the model or its differences are not finite, or where the
 * differences cannot be trusted because two step sizes disagree. A gradient derived from a formula is not asked.
 *
 * @throws {BeadbenchError} `bad-argument` naming the parameter
 */
export function checkGradient(problem: Problem, theta: readonly number[]): void {
  const { model, size, whole } = problem;
  if (model.gradient === undefined || whole !== undefined) return;
  const few = sampled(problem);
  const { rows } = few;
  const { gradient, ...plain } = model;
  const bare = makeProblem(
    { x: few.x, y: new Array<number>(rows).fill(0) },
    {
      ...plain,
      predict: (at, x) => model.predict(at, x),
    },
  );
  const columns = Array.from({ length: size }, (_, j) => j);
  const [own, rough, fine] = [0, 1, 2].map(() => new Float64Array(rows * size)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const values = new Float64Array(rows);
  if (
    !sweep({ problem: bare, theta, out: values }) ||
    !analyticSlopes({ problem: few, theta, columns, out: own })
  )
    return;
  if (!jacobian({ problem: bare, theta, columns, base: values, out: rough, accuracy: "rough" })) return;
  problem.evaluations += bare.evaluations + few.evaluations;
  const gap = (a: Float64Array, b: Float64Array, j: number): number => {
    let sum = 0;
    for (let i = j * rows; i < (j + 1) * rows; i++) sum += (a[i]! - b[i]!) ** 2;
    const length = Math.max(norm(a, j * rows, (j + 1) * rows), norm(b, j * rows, (j + 1) * rows));
    return length === 0 ? 0 : Math.sqrt(sum) / length;
  };
  const isVisible = (j: number): boolean => {
    const size = theta[j] === 0 ? 1 : Math.abs(theta[j]!);
    const length = Math.max(norm(own, j * rows, (j + 1) * rows), norm(rough, j * rows, (j + 1) * rows));
    return size * length > visible * norm(values, 0, rows);
  };
  const doubtful = columns.filter((j) => isVisible(j) && gap(own, rough, j) > allowed);
  if (
    doubtful.length === 0 ||
    !jacobian({ problem: bare, theta, columns, base: values, out: fine, accuracy: "fine" })
  )
    return;
  for (const j of doubtful) {
    if (gap(own, fine, j) <= allowed || gap(rough, fine, j) > 0.1 * allowed) continue;
    const name = model.parameters[j]!;
    const worst = Array.from({ length: rows }, (_, i) => j * rows + i).reduce((a, b) =>
      Math.abs(own[b]! - fine[b]!) > Math.abs(own[a]! - fine[a]!) ? b : a,
    );
    throw new BeadbenchError(
      "bad-argument",
      `fitNonlinear: the model's gradient by ${name} is ${significant(own[worst]!, 6)} at x = [${few.x[worst - j * rows]!.join(", ")}], but its values change by ${significant(fine[worst]!, 6)}: mend it, or leave gradient out and differences are taken`,
    );
  }
}
