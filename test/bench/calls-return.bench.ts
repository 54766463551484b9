import { drawnKinds, runDrawnProblem } from "../drawn-problems.js";
import type { BenchRow } from "./peer.js";

const problems = 10_000;

/** Longest processor time any of many drawn, mostly ill-posed problems takes to come back, kind by kind. */
export function benchReturn(): BenchRow[] {
  const perKind = Math.ceil(problems / drawnKinds.length);
  return drawnKinds.map((kind) => {
    let longest = { ms: 0, seed: 0 };
    let answered = 0;
    const failed: string[] = [];
    for (let seed = 1; seed <= perKind; seed++) {
      const start = process.cpuUsage();
      try {
        if (runDrawnProblem(kind, seed) === "answered") answered++;
      } catch (error) {
        failed.push(`seed ${seed}: ${(error as Error).message}`);
      }
      const { user, system } = process.cpuUsage(start);
      const ms = (user + system) / 1000;
      if (ms > longest.ms) longest = { ms, seed };
    }
    const faults = failed.length === 0 ? "" : `; ${failed.length} FAILED, the first ${failed[0]}`;
    return {
      name: `${kind}: ${perKind} drawn problems all return, ${answered} answered, longest seed ${longest.seed}${faults}`,
      ours_ms: longest.ms,
      peer: "none",
      peer_ms: Number.NaN,
      ratio: Number.NaN,
      target: "each under 2000 ms",
    };
  });
}
