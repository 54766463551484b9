import { spawnSync } from "node:child_process";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeAll, describe, expect, test } from "vitest";
import { paintAnswer, wantsColour } from "../../lib/cli/colour.js";
import { createDemoStudy } from "../../lib/study/index.js";

const dist = fileURLToPath(new URL("../../dist/cli", import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), "beadbench-terminal-"));
const ESC = "\u001b";
/** util-linux' `script`, which gives a program a terminal; another one takes its words otherwise. */
const hasTerminal =
  spawnSync("script", ["--version"], { encoding: "utf8" }).stdout?.includes("util-linux") === true;

const env = (more: Readonly<Record<string, string>> = {}): NodeJS.ProcessEnv => {
  const { NO_COLOR: _, FORCE_COLOR: __, ...rest } = process.env;
  return { ...rest, TERM: "xterm", ...more };
};

/** What appears on a terminal in which a line is run. */
function inTerminal(line: string, more: Readonly<Record<string, string>> = {}): string {
  return spawnSync("script", ["-qec", line, "/dev/null"], { cwd: scratch, encoding: "utf8", env: env(more) })
    .stdout;
}

/** Whether a text changes colours; other signs, such as those that take a line away, do not count. */
const isColoured = (text: string): boolean => text.split(ESC).some((part) => /^\[\d+m/.test(part));

const status = `node ${JSON.stringify(join(dist, "main.js"))} status rings`;

beforeAll(() => {
  createDemoStudy(join(scratch, "rings"));
  writeFileSync(
    join(scratch, "busy.mjs"),
    `import { startProgress } from ${JSON.stringify(join(dist, "progress.js"))};
const progress = process.stderr.isTTY ? await startProgress(2, "working") : undefined;
progress?.doing("laying beads");
const end = Date.now() + 4500;
while (Date.now() < end);
progress?.touch();
console.log("done");
progress?.pause();
await new Promise((resolve) => setTimeout(resolve, 3500));
progress?.stop();
`,
  );
});

describe.skipIf(!hasTerminal)("in a terminal", () => {
  test("work of more than two seconds is told, though it leaves no time to the program itself, and taken away", () => {
    const shown = inTerminal("node busy.mjs");
    const [before, after] = shown.split("done");
    expect(before).toMatch(/K(laying beads) \.\.\. [2-5] s/);
    expect(before).not.toMatch(/\.\.\. [01] s/);
    expect(before!.endsWith(`\r${ESC}[K`)).toBe(true);
    expect(after).not.toContain("laying");
  });

  test("the head of an answer is bold, unless NO_COLOR or a dumb terminal forbids it", () => {
    expect(inTerminal(status)).toContain(`${ESC}[1mwear ring rebuild`);
    expect(isColoured(inTerminal(status, { NO_COLOR: "1" }))).toBe(false);
    expect(isColoured(inTerminal(status, { TERM: "dumb" }))).toBe(false);
    expect(isColoured(inTerminal(`${status} --json`))).toBe(false);
    expect(inTerminal(`${status.replace("rings", "nowhere")}`)).toContain(`${ESC}[31mbeadbench:`);
  });

  test("an answer in a pipe is plain, though messages go to the terminal", () => {
    expect(isColoured(inTerminal(`${status} | cat`))).toBe(false);
  });
});

test("in a pipe nothing moves and nothing is coloured, unless FORCE_COLOR asks", () => {
  const busy = spawnSync("node", ["busy.mjs"], { cwd: scratch, encoding: "utf8", env: env() });
  expect([busy.stdout, busy.stderr]).toEqual(["done\n", ""]);
  const piped = (more: Readonly<Record<string, string>>): string =>
    spawnSync("sh", ["-c", status], { cwd: scratch, encoding: "utf8", env: env(more) }).stdout;
  expect(isColoured(piped({}))).toBe(false);
  expect(piped({ FORCE_COLOR: "1" })).toContain(`${ESC}[1m`);
  expect(isColoured(piped({ FORCE_COLOR: "0" }))).toBe(false);
});

test("NO_COLOR goes before FORCE_COLOR, and an empty one says nothing", () => {
  const asked = (terminal: boolean, more: Readonly<Record<string, string>>) =>
    wantsColour({ terminal, env: more });
  expect(asked(true, { NO_COLOR: "1", FORCE_COLOR: "1" })).toBe(false);
  expect(asked(true, { NO_COLOR: "" })).toBe(true);
  expect(asked(false, { FORCE_COLOR: "3" })).toBe(true);
  expect(asked(false, {})).toBe(false);
});

test.each([
  ["", ""],
  ["One line\nmore\n", `${ESC}[1mOne line${ESC}[0m\nmore\n`],
  ["It is 5.4 to\n  6.6 mm. More\n", `${ESC}[1mIt is 5.4 to\n  6.6 mm.${ESC}[0m More\n`],
  ["A table\n\nEnds here. Yes\n", `${ESC}[1mA table${ESC}[0m\n\nEnds here. Yes\n`],
  ["[!!] broken. Mend\n", `${ESC}[31m[!!]${ESC}[0m broken. Mend\n`],
  [
    "All.\n\n[ !] odd\n[ i] so\n",
    `${ESC}[1mAll.${ESC}[0m\n\n${ESC}[33m[ !]${ESC}[0m odd\n${ESC}[36m[ i]${ESC}[0m so\n`,
  ],
])("an answer %j is painted sparingly", (plain, painted) => {
  expect(paintAnswer(plain)).toBe(painted);
});
