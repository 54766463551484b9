import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";

/** Rows of the trace: half an hour at 10 kHz and some. */
const ROWS = 20_000_000;

/** What each contender says of a trace: time, peak memory, and the figures all must agree on. */
interface Outcome {
  readonly seconds: number;
  /** MB resident at most. */
  readonly memory: number;
  /** Mean current and voltage, A and V; mean of instantaneous power, W; energy, J; spread of the current, A. */
  readonly figures: readonly number[];
}

const columns = `n / 10000.0::double as "time [s]", round(150 + 8 * sin(n * 0.0371) + (hash(n) % 1000) / 250.0, 3)::double as "current [A]",
  round(12 + 0.4 * sin(n * 0.0113) + (hash(n + 7) % 1000) / 2500.0, 3)::double as "voltage [V]" from range(${ROWS}) r(n)`;

/** Both files hold the same numbers, written by the columnar engine. */
async function write(folder: string): Promise<readonly [csv: string, parquet: string]> {
  const [csv, parquet] = [join(folder, "trace.csv"), join(folder, "trace.parquet")] as const;
  const connection = await (await DuckDBInstance.create(":memory:")).connect();
  await connection.run(`copy (select ${columns}) to '${csv}' (header)`);
  await connection.run(`copy (select ${columns}) to '${parquet}' (format parquet)`);
  connection.closeSync();
  return [csv, parquet];
}

/** A program of its own for each, so that its peak is its own. */
function run(program: string, args: readonly string[]): Outcome | string {
  const { stdout, stderr, status } = spawnSync(program, args, {
    encoding: "utf8",
    env: { ...process.env, OPENBLAS_NUM_THREADS: "1", OMP_NUM_THREADS: "1" },
  });
  if (status !== 0) return stderr.trim().split("\n").at(-1) ?? "failed";
  return JSON.parse(stdout) as Outcome;
}

const peak = "memory: process.resourceUsage().maxRSS / 1000";

const ours = (path: string): readonly string[] => [
  "--input-type=module",
  "-e",
  `import { traces } from "${new URL("../../dist/index.js", import.meta.url).href}";
  const start = performance.now();
  const [one] = traces.measureTrace(await traces.openTrace(${JSON.stringify(path)}), { process: "141" }).stretches;
  console.log(JSON.stringify({ seconds: (performance.now() - start) / 1000, ${peak},
    figures: [one.current.mean, one.voltage.mean, one.power, one.energy, one.current.spread] }));`,
];

/** The engine sums rows, which of even steps differs from trapezoids in the two halves at the ends. */
const engine = (source: string): readonly string[] => [
  "--input-type=module",
  "-e",
  `import { DuckDBInstance } from "${import.meta.resolve("@duckdb/node-api")}";
  const start = performance.now();
  const connection = await (await DuckDBInstance.create(":memory:", { threads: "1", memory_limit: "250MB" })).connect();
  const reader = await connection.runAndReadAll(${JSON.stringify(`select avg("current [A]"), avg("voltage [V]"), avg("current [A]" * "voltage [V]"), max("time [s]"), stddev_pop("current [A]") from ${source}`)});
  const [i, u, p, t, s] = reader.getRows()[0];
  console.log(JSON.stringify({ seconds: (performance.now() - start) / 1000, ${peak}, figures: [i, u, p, p * t, s] }));`,
];

const numpy = (path: string): readonly string[] => [
  "-c",
  `import json, resource, time
import numpy as np
start = time.perf_counter()
t, i, u = np.loadtxt(${JSON.stringify(path)}, delimiter=",", skiprows=1, unpack=True)
span = t[-1] - t[0]
over = lambda y: float(np.sum((t[1:] - t[:-1]) * (y[1:] + y[:-1])) / 2)
mean = over(i) / span
energy = over(u * i)
spread = float(np.sqrt(over((i - mean) ** 2) / span))
print(json.dumps({"seconds": time.perf_counter() - start, "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000, "figures": [mean, over(u) / span, energy / span, energy, spread]}))`,
];

/**
 * A trace of 20 million rows and three columns: rows a second and peak memory of `measureTrace` on CSV and Parquet, beside
 * NumPy (which holds all of it in memory) and DuckDB (one thread), each in a program of its own; and how far apart the
 * figures are. Aims: two million rows a second, 300 MB, NumPy's figures to 1e-9. Needs `npm run build`.
 */
export async function benchTrace(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "trace-bench-"));
  try {
    const [csv, parquet] = await write(folder);
    const size = (path: string): string => `${(statSync(path).size / 1e6).toFixed(0)} MB`;
    console.log(`  ${ROWS / 1e6} million rows; CSV ${size(csv)}, Parquet ${size(parquet)}`);
    const reference = run("/usr/bin/python3", numpy(csv));
    const tell = (name: string, outcome: Outcome | string): void => {
      if (typeof outcome === "string") {
        console.log(`  ${name.padEnd(18)} not run: ${outcome}`);
        return;
      }
      const { seconds, memory, figures } = outcome;
      const off =
        typeof reference === "string"
          ? "-"
          : Math.max(...figures.map((value, i) => Math.abs(value / reference.figures[i]! - 1))).toExponential(
              1,
            );
      console.log(
        `  ${name.padEnd(18)} ${seconds.toFixed(2)} s, ${(ROWS / seconds / 1e6).toFixed(1)} million rows/s, ${memory.toFixed(0)} MB at most, off NumPy by ${off}`,
      );
    };
    tell("ours, CSV", run(process.execPath, ours(csv)));
    tell("ours, Parquet", run(process.execPath, ours(parquet)));
    tell("DuckDB, CSV", run(process.execPath, engine(`read_csv('${csv}')`)));
    tell("DuckDB, Parquet", run(process.execPath, engine(`read_parquet('${parquet}')`)));
    tell("NumPy, CSV", reference);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
