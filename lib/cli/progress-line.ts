import { writeSync } from "node:fs";
import { parentPort, workerData } from "node:worker_threads";
import { CLEAR, locked, SHARED, seconds } from "./progress.js";

/** Quiet for so long, one wonders. */
const WAIT = 2;

const { shared, fd, what } = workerData as {
  readonly shared: Int32Array;
  readonly fd: number;
  readonly what: string;
};
let now = what;
parentPort!.on("message", (next: string) => {
  now = next;
});
setInterval(() => {
  const quiet = seconds() - Atomics.load(shared, SHARED.quietSince);
  if (quiet < WAIT) return;
  locked(shared, () => {
    if (Atomics.load(shared, SHARED.paused) === 1) return;
    Atomics.store(shared, SHARED.shown, 1);
    writeSync(fd, `${CLEAR}${now} ... ${quiet} s`);
  });
}, 500);
