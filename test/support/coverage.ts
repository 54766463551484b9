import { expect } from "vitest";

/** Share of `runs` simulated studies whose interval holds the truth, per quantity. */
export function coverage(runs: number, study: (run: number) => readonly boolean[]): number[] {
  const hits: number[] = [];
  for (let run = 0; run < runs; run++) {
    study(run).forEach((hit, j) => {
      hits[j] = (hits[j] ?? 0) + (hit ? 1 : 0);
    });
  }
  return hits.map((count) => count / runs);
}

/** Nominal 95 % in 1000 runs: standard error 0.7 %, so 93.5 to 96.5 % is two of them and a little. */
export function expectNominal(share: number, what: string): void {
  expect(share, `${what} holds the truth in ${(100 * share).toFixed(1)} %`).toBeGreaterThanOrEqual(0.935);
  expect(share, `${what} holds the truth in ${(100 * share).toFixed(1)} %`).toBeLessThanOrEqual(0.965);
}
