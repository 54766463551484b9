/** User time of short commands, as a ratio to an empty Node program of the same run. Run `npm run build` before. */
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createDemoStudy } from "../../lib/study/index.js";

const main = fileURLToPath(new URL("../../dist/cli/main.js", import.meta.url));

/** User time in ms, told by the shell: a program that metered itself would load more than it does. */
function userTime(words: readonly string[]): number {
  const script = `TIMEFORMAT=%U; { time "$@" >/dev/null 2>&3; } 3>/dev/null`;
  const ran = spawnSync("bash", ["-c", script, "bash", process.execPath, ...words], { encoding: "utf8" });
  if (ran.status !== 0) throw new Error(`${words.join(" ")} failed with ${ran.status}`);
  return 1000 * Number(ran.stderr.trim());
}

/** The least of several runs, taken in turns: what other programs add to a run is never negative. */
const ROUNDS = 11;

export function benchStartUp(): void {
  if (!existsSync(main)) throw new Error("there is no compiled command line; run `npm run build` first");
  const study = join(mkdtempSync(join(tmpdir(), "beadbench-start-")), "demo");
  createDemoStudy(study);
  const programs: readonly (readonly [string, readonly string[], number])[] = [
    ["an empty program", ["-e", "0"], 1],
    ["--version", [main, "--version"], 3],
    ["--help", [main, "--help"], 3],
    ["log", [main, "log", study, "--note", "read"], 3],
    ["incident", [main, "incident", study, "wire stuck"], 3],
    ["check", [main, "check", study], 6],
  ];
  const least = programs.map(() => Number.POSITIVE_INFINITY);
  for (let round = 0; round < ROUNDS; round++) {
    programs.forEach(([, words], i) => {
      least[i] = Math.min(least[i]!, userTime(words));
    });
  }
  programs.forEach(([name, , aim], i) => {
    const ratio = least[i]! / least[0]!;
    console.log(`  ${name}: ${least[i]!.toFixed(0)} ms user | ratio ${ratio.toFixed(2)} | aim: <= ${aim}`);
  });
}
