import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import type { Fit, Observations } from "./types.js";

/** Refuses observations that no fit can use: unequal lengths, missing or infinite numbers, negative weights. */
export function checkObservations(where: string, observations: Observations): void {
  const { x, y, weights } = observations;
  requireThat(x.length === y.length, `${where}: x has ${x.length} rows and y has ${y.length} values`);
  const width = x[0]?.length ?? 0;
  for (let i = 0; i < x.length; i++) {
    const row = x[i]!;
    if (row.length !== width) {
      requireThat(false, `${where}: row ${i + 1} of x has ${row.length} values, row 1 has ${width}`);
    }
    for (let j = 0; j < width; j++) {
      if (!Number.isFinite(row[j]!)) requireNumber(`${where}: x in row ${i + 1}`, row[j]!);
    }
    if (!Number.isFinite(y[i]!)) requireNumber(`${where}: y in row ${i + 1}`, y[i]!);
  }
  if (weights === undefined) return;
  requireThat(weights.length === y.length, `${where}: ${weights.length} weights for ${y.length} rows`);
  weights.forEach((value, i) => {
    if (!(value > 0 && Number.isFinite(value))) {
      requireNumber(`${where}: weight of row ${i + 1}`, value, { above: 0 });
    }
  });
}

/**
 * Refuses data with fewer rows than needed.
 *
 * @throws {BeadbenchError} `not-enough-data`
 */
export function requireRows(where: string, rows: number, parameters: number): void {
  if (rows > parameters) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${where} needs more rows than parameters (${parameters}), got ${rows}: measure more or use a simpler model`,
  );
}

/**
 * Returns the fit when it converged, with the type that inference asks for.
 *
 * @throws {BeadbenchError} `refused` with the reason the fit gave
 */
export function requireConverged<F extends Fit>(fit: F): Extract<F, { status: "converged" }> {
  if (fit.status !== "converged") {
    const reasons = fit.findings.map((finding) => finding.message).join("; ");
    throw new BeadbenchError("refused", `the fit did not converge (${fit.status}): ${reasons}`);
  }
  return fit as Extract<F, { status: "converged" }>;
}
