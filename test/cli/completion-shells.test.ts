import { spawnSync } from "node:child_process";
import { chmodSync, mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeAll, describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";

const main = fileURLToPath(new URL("../../dist/cli/main.js", import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), "beadbench-shells-"));
const study = join(scratch, "rings");
const has = (shell: string): boolean => spawnSync(shell, ["--version"]).status === 0;

const env = {
  ...process.env,
  PATH: `${join(scratch, "bin")}:${process.env.PATH}`,
  HOME: scratch,
  TERM: "dumb",
};
const run = (program: string, ...args: readonly string[]): string =>
  spawnSync(program, args, { cwd: study, encoding: "utf8", env }).stdout;

beforeAll(() => {
  mkdirSync(join(scratch, "bin"));
  const program = join(scratch, "bin", "beadbench");
  writeFileSync(
    program,
    `#!/bin/sh\nexec ${JSON.stringify(process.execPath)} ${JSON.stringify(main)} "$@"\n`,
  );
  chmodSync(program, 0o755);
  createDemoStudy(study);
  for (const shell of ["bash", "fish"])
    writeFileSync(join(scratch, `complete.${shell}`), run("beadbench", "completion", shell));
});

/** What is typed, and what the shell makes of it or offers. */
const cases: readonly (readonly [typed: string, offered: readonly string[]])[] = [
  ["beadbench wi", ["window"]],
  ["beadbench log C04", ["C040"]],
  ["beadbench log C040 bead_w", ["bead_width="]],
  ["beadbench next --aim ", ["explore", "hit", "edge"]],
  ["beadbench fit --form", ["--formula"]],
  ["beadbench export stu", ["study.json"]],
];

describe.skipIf(!has("fish"))("fish", () => {
  test.each(cases)("completes %j", (typed, offered) => {
    const out = run("fish", "-c", `source ${join(scratch, "complete.fish")}; complete -C '${typed}'`);
    expect(
      out
        .trim()
        .split("\n")
        .map((line) => line.split("\t")[0]!)
        .sort(),
    ).toEqual([...offered].sort());
  });
});

describe.skipIf(!has("bash"))("bash", () => {
  test.each(cases.slice(0, 5))("completes %j", (typed, offered) => {
    const words = typed.split(" ");
    const out = run(
      "bash",
      "-c",
      `source ${join(scratch, "complete.bash")}
compopt() { :; }
COMP_WORDS=(${words.map((word) => `'${word}'`).join(" ")}); COMP_CWORD=${words.length - 1}
_beadbench
printf '%s\\n' "\${COMPREPLY[@]}"`,
    );
    expect(out.trim().split("\n").sort()).toEqual([...offered].sort());
  });
});
