import { brief } from "../../numeric/figures/index.js";
import { type QrFactor, solveUpper } from "../../numeric/matrices/index.js";
import type { Alias } from "./types.js";

const shortNumber = (value: number): string => brief(value, 4);

/** Writes sum of coefficient x name the way one reads it: `x1 + x2`, `2 x1 - 0.5 x2`, `nothing (all zero)`. */
export function describeCombination(coefficients: readonly number[], names: readonly string[]): string {
  const parts = coefficients.flatMap((value, i) => {
    if (value === 0) return [];
    const size = Math.abs(value) === 1 ? "" : `${shortNumber(Math.abs(value))} `;
    return [{ sign: value < 0 ? "-" : "+", text: `${size}${names[i]}` }];
  });
  if (parts.length === 0) return "0 (a column of zeros)";
  return parts
    .map(({ sign, text }, i) => (i === 0 ? `${sign === "-" ? "-" : ""}${text}` : `${sign} ${text}`))
    .join(" ");
}

/**
 * Names each dropped column as a combination of kept ones, read off R: R11 b = r12.
 *
 * @param scales - what each column was multiplied by before it was factored
 */
export function nameAliases(factor: QrFactor, names: readonly string[], scales: Float64Array): Alias[] {
  const { rank, columns, rows, pivots, values } = factor;
  const aliases: Alias[] = [];
  for (let j = rank; j < columns; j++) {
    const b = new Float64Array(Math.max(rank, 1));
    for (let k = 0; k < rank; k++) b[k] = values[j * rows + k]!;
    solveUpper(factor, b);
    const coefficients = new Array<number>(columns).fill(0);
    for (let k = 0; k < rank; k++) {
      const scaled = b[k]!;
      if (Math.abs(scaled) < 1e-9) continue;
      const value = (scaled * scales[pivots[k]!]!) / scales[pivots[j]!]!;
      coefficients[pivots[k]!] = Math.abs(value - Math.round(value)) < 1e-9 ? Math.round(value) : value;
    }
    const term = names[pivots[j]!]!;
    aliases.push({ term, relation: `${term} = ${describeCombination(coefficients, names)}`, coefficients });
  }
  return aliases;
}
