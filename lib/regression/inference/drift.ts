import { type Finding, requireThat } from "../../errors/index.js";
import { applyQTransposed, factorQr, fixed, normalCdf, significant, tCdf } from "../../numeric/index.js";
import type { ConvergedFit, Model } from "../common/index.js";
import { parameterSlopes } from "../common/index.js";

export interface DriftTest {
  /** Change of the response per place in the run order, the model's other effects allowed for. */
  readonly slope: number;
  readonly t: number;
  readonly df: number;
  /** Chance of so large a slope without drift. */
  readonly p: number;
  /** Correlation of each residual with the next one in run order. */
  readonly serialCorrelation: number;
  /** Two-sided chance of that correlation for independent errors (von Neumann's ratio, normal approximation). */
  readonly serialP: number;
  readonly findings: readonly Finding[];
}

/** Residual and order, both with the model's tangent plane projected out: the slope is that of a refit. */
function project(fit: ConvergedFit, model: Model, order: readonly number[]) {
  const n = order.length;
  const p = fit.parameters.length;
  const slopes = parameterSlopes(model, fit.estimates, fit.observations.x);
  const root = order.map((_, i) => Math.sqrt(fit.observations.weights?.[i] ?? 1));
  const matrix = new Float64Array(n * p);
  for (let j = 0; j < p; j++) for (let i = 0; i < n; i++) matrix[j * n + i] = slopes[i]![j]! * root[i]!;
  const factor = factorQr({ values: matrix, rows: n, columns: p });
  const residual = Float64Array.from(fit.residuals, (r, i) => r * root[i]!);
  const place = Float64Array.from(order, (value, i) => value * root[i]!);
  applyQTransposed(factor, residual);
  applyQTransposed(factor, place);
  return { residual: residual.subarray(factor.rank), place: place.subarray(factor.rank) };
}

/**
 * Looks for what run order did to the response: a steady drift (t test of the order as one more regressor, exact for
 * linear fits) and a likeness of neighbours (von Neumann's ratio). Misleads when a factor was changed in run order,
 * which is why runs are randomised.
 *
 * @param order - place of each row in the order of running
 * @throws {BeadbenchError} `bad-argument` for another number of places than of rows, or a place taken twice
 * @source J. von Neumann, Ann. Math. Statist. 12 (1941) 367-395; Draper and Smith (1998) section 2.6
 */
export function runOrderDrift(fit: ConvergedFit, model: Model, order: readonly number[]): DriftTest {
  const n = fit.residuals.length;
  requireThat(order.length === n, `runOrderDrift: ${order.length} places for ${n} rows`);
  requireThat(new Set(order).size === n, "runOrderDrift: each row needs its own place in the run order");
  const { residual, place } = project(fit, model, order);
  let cross = 0;
  let length = 0;
  let rss = 0;
  for (let i = 0; i < residual.length; i++) {
    cross += residual[i]! * place[i]!;
    length += place[i]! ** 2;
    rss += residual[i]! ** 2;
  }
  const df = fit.df - 1;
  requireThat(
    df >= 1 && length > 0,
    "runOrderDrift needs two spare rows and an order the model does not already follow",
  );
  const slope = cross / length;
  const left = Math.max(rss - cross * slope, Number.MIN_VALUE);
  const t = slope / Math.sqrt(left / df / length);
  const p = 2 * (1 - tCdf(Math.abs(t), df));

  const inOrder = order.map((at, i) => ({
    at,
    r: fit.residuals[i]! * Math.sqrt(fit.observations.weights?.[i] ?? 1),
  }));
  inOrder.sort((a, b) => a.at - b.at);
  let steps = 0;
  let squares = 0;
  let neighbours = 0;
  inOrder.forEach(({ r }, i) => {
    squares += r * r;
    if (i === 0) return;
    steps += (r - inOrder[i - 1]!.r) ** 2;
    neighbours += r * inOrder[i - 1]!.r;
  });
  const ratio = steps / squares;
  const z = (ratio - (2 * n) / (n - 1)) / Math.sqrt((4 * (n - 2)) / ((n - 1) * (n + 1)));
  const serialP = 2 * (1 - normalCdf(Math.abs(z)));
  const findings: Finding[] = [];
  if (p < 0.05) {
    findings.push({
      code: "run-order-drift",
      severity: "warning",
      message: `the response drifts with run order by ${significant(slope)} per run (chance ${significant(p, 2)})`,
      advice: "look for warming up, wear or a supply running low; randomise or block the runs",
    });
  }
  if (serialP < 0.05) {
    findings.push({
      code: "serial-correlation",
      severity: "warning",
      message: `neighbours in run order resemble each other: correlation ${fixed(neighbours / squares, 2)} (chance ${significant(serialP, 2)})`,
      advice: "errors are not independent: intervals are too narrow; run in blocks and fit the block",
    });
  }
  return { slope, t, df, p, serialCorrelation: neighbours / squares, serialP, findings };
}
