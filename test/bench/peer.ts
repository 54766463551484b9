import { spawn, spawnSync } from "node:child_process";
import { createInterface } from "node:readline";

/** One line of the bench: our time and a peer's for the same answer, measured in the same run. */
export interface BenchRow {
  readonly name: string;
  readonly ours_ms: number;
  readonly peer: string;
  /** NaN when the peer is not installed. */
  readonly peer_ms: number;
  readonly ratio: number;
  /** Largest ratio (or time, where there is no peer) that meets the aim, in words. */
  readonly target: string;
}

/** Median wall time in milliseconds of some calls, after a few to warm up. */
export function medianTime(work: () => unknown, calls: number, warmUp = 3): number {
  for (let k = 0; k < warmUp; k++) work();
  const times = Array.from({ length: calls }, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  }).sort((a, b) => a - b);
  return times[calls >> 1]!;
}

/**
 * Feeds a script to Rscript or python3 and reads the JSON it prints; undefined when the program or a
 * package is missing.
 */
export function askPeer<T>(program: "Rscript" | "/usr/bin/python3", script: string): T | undefined {
  const { stdout, status } = spawnSync(program, ["-"], {
    input: script,
    encoding: "utf8",
    maxBuffer: 2 ** 28,
  });
  return status === 0 && stdout.trim() !== "" ? (JSON.parse(stdout) as T) : undefined;
}

/** A peer kept running, so that its calls and ours can take turns on the same machine. */
export interface Peer {
  /** Sends a line and waits for the line that answers it. */
  ask(line: string): Promise<string>;
  end(): void;
}

/**
 * Starts a Python script that answers every line it reads with one line; undefined when it does not answer "ready" first.
 */
export async function startPeer(script: string): Promise<Peer | undefined> {
  const child = spawn("/usr/bin/python3", ["-u", "-c", script], {
    stdio: ["pipe", "pipe", "ignore"],
    env: { ...process.env, OPENBLAS_NUM_THREADS: "1", OMP_NUM_THREADS: "1" },
  });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const next = async (): Promise<string | undefined> => (await lines.next()).value as string | undefined;
  child.on("error", () => {});
  if ((await next()) !== "ready") return undefined;
  return {
    async ask(line) {
      child.stdin.write(`${line}\n`);
      const answer = await next();
      if (answer === undefined) throw new Error("the peer ended");
      return answer;
    },
    end: () => child.stdin.end(),
  };
}
