import { runDrawnProblem } from "../regression/drawn-problems.js";
import type { BenchRow } from "./peer.js";

const problems = 10_000;

/** Longest time any of many drawn, mostly ill-posed problems takes to come back. */
export function benchReturn(): BenchRow[] {
  let longest = { ms: 0, name: "" };
  for (let seed = 1; seed <= problems; seed++) {
    const start = performance.now();
    const kind = runDrawnProblem(seed);
    const ms = performance.now() - start;
    if (ms > longest.ms) longest = { ms, name: `${kind}, seed ${seed}` };
  }
  return [
    {
      name: `${problems} drawn problems all return; the longest: ${longest.name}`,
      ours_ms: longest.ms,
      peer: "none",
      peer_ms: Number.NaN,
      ratio: Number.NaN,
      target: "each under 2000 ms",
    },
  ];
}
