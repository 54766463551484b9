import { writeSync } from "node:fs";
import type { Worker } from "node:worker_threads";

/** Places of the memory that the program and the worker share. */
export const SHARED = { lock: 0, shown: 1, quietSince: 2, paused: 3, length: 4 } as const;

/** Says at a terminal that work goes on. */
export interface Progress {
  /** Names the work from now on. */
  doing(what: string): void;
  /** Takes the line away before something else is written; the two seconds begin anew. */
  touch(): void;
  /** Says nothing while someone is asked, or something is served. */
  pause(): void;
  resume(): void;
  stop(): void;
}

/** Waits its turn to write to the terminal, without giving way: the other side holds it for one line only. */
export function locked(shared: Int32Array, work: () => void): void {
  while (Atomics.compareExchange(shared, SHARED.lock, 0, 1) !== 0);
  try {
    work();
  } finally {
    Atomics.store(shared, SHARED.lock, 0);
  }
}

/** Seconds, as both sides count them. */
export const seconds = (): number => Math.floor(Date.now() / 1000);

/** Back to the begin of the line, and the line empty. */
export const CLEAR = "\r\u001b[K";

/**
 * Starts a worker that shows a line on standard error once nothing was written for two seconds. Work here is done in one go, so
 * that a timer of the program itself would not come to its turn before the end.
 *
 * @param fd - of the terminal
 */
export async function startProgress(fd: number, what: string): Promise<Progress> {
  const threads = await import("node:worker_threads");
  const shared = new Int32Array(new SharedArrayBuffer(4 * SHARED.length));
  Atomics.store(shared, SHARED.quietSince, seconds());
  const worker: Worker = new threads.Worker(new URL("./progress-line.js", import.meta.url), {
    workerData: { shared, fd, what },
  });
  worker.unref();
  // Work goes on where its line cannot be shown.
  worker.on("error", () => undefined);
  const touch = (): void =>
    locked(shared, () => {
      if (Atomics.exchange(shared, SHARED.shown, 0) === 1) writeSync(fd, CLEAR);
      Atomics.store(shared, SHARED.quietSince, seconds());
    });
  const pausing = (paused: 0 | 1) => (): void => {
    touch();
    Atomics.store(shared, SHARED.paused, paused);
  };
  return {
    doing: (next) => worker.postMessage(next),
    touch,
    pause: pausing(1),
    resume: pausing(0),
    stop: () => {
      pausing(1)();
      void worker.terminate();
    },
  };
}
