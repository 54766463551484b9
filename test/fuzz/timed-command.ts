import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

/** How a command ended in a process of its own. */
export interface TimedRun {
  /** Undefined where it was ended for taking too long. */
  readonly status: number | undefined;
  readonly seconds: number;
  /** Most memory it held at once; undefined where it was ended. */
  readonly megabytes: number | undefined;
  readonly out: string;
  readonly notes: string;
}

const main = resolve("dist/cli/main.js");
const scratch = mkdtempSync(join(tmpdir(), "beadbench-timed-"));
/** Loaded before the program: tells the most memory held, in kB, when the process ends. */
const teller = join(scratch, "tell.cjs");
writeFileSync(
  teller,
  'process.on("exit", () => require("node:fs").writeFileSync(process.env.BEADBENCH_PEAK, String(process.resourceUsage().maxRSS)));',
);
let runs = 0;

/** Runs the built program in a process of its own, and ends it after so many seconds. */
export function timedCommand(
  args: readonly string[],
  { folder, patience }: { readonly folder: string; readonly patience: number },
): Promise<TimedRun> {
  const peak = join(scratch, `peak-${runs++}`);
  const start = performance.now();
  const child = spawn(process.execPath, ["--require", teller, main, ...args], {
    cwd: folder,
    env: { ...process.env, BEADBENCH_PEAK: peak },
    stdio: ["ignore", "pipe", "pipe"],
  });
  let out = "";
  let notes = "";
  child.stdout.setEncoding("utf8").on("data", (part: string) => {
    out += part;
  });
  child.stderr.setEncoding("utf8").on("data", (part: string) => {
    notes += part;
  });
  const timer = setTimeout(() => child.kill("SIGKILL"), 1000 * patience);
  return new Promise((done) => {
    child.on("close", (code, signal) => {
      clearTimeout(timer);
      const ended = signal !== null || code === null;
      const megabytes = ended ? undefined : Number(readFileSync(peak, "utf8")) / 1024;
      done({
        status: ended ? undefined : code,
        seconds: (performance.now() - start) / 1000,
        megabytes,
        out,
        notes,
      });
    });
  });
}
