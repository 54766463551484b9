import { type Problem, sweep } from "../common/index.js";
import type { Box } from "./descend.js";
import { type Polished, polish, rounding } from "./polish.js";

/**
 * Some models have mirror images: a width that enters squared fits as well with a minus sign. Returns the image whose
 * signs are those of the start where it fits exactly as well, else the point itself.
 */
export function towardsStart({
  problem,
  polished,
  start,
  options,
}: {
  readonly problem: Problem;
  readonly polished: Polished;
  readonly start: readonly number[];
  readonly options: { readonly box: Box; readonly most: number };
}): Polished {
  const { theta, rss } = polished;
  const flipped = theta.map((value, j) => (value * start[j]! < 0 ? -value : value));
  if (flipped.every((value, j) => value === theta[j])) return polished;
  const values = new Float64Array(problem.rows);
  if (!sweep({ problem, theta: flipped, out: values })) return polished;
  let at = 0;
  for (let i = 0; i < problem.rows; i++) at += (problem.target[i]! - values[i]!) ** 2;
  if (Math.abs(at - rss) > 100 * rounding(polished.bulk, rss)) return polished;
  const image = polish(problem, flipped, options);
  const isAsGood = image !== undefined && image.rss <= rss + 100 * rounding(polished.bulk, rss);
  return { ...(isAsGood ? image : polished), iterations: polished.iterations + (image?.iterations ?? 0) };
}
