import { spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { expect, test } from "vitest";

const folder = mkdtempSync(join(tmpdir(), "beadbench-open-"));

/** A stand-in for Python that has the modules named, and writes down what it is asked for. */
function python(name: string, has: string): string {
  const path = join(folder, name);
  writeFileSync(
    path,
    `#!/bin/sh\necho "$@" >> "${path}.log"\n[ "$3" = --version ] && case "$2" in ${has}) exit 0;; *) exit 1;; esac\nexit 0\n`,
  );
  chmodSync(path, 0o755);
  return path;
}

const open = (path: string) =>
  spawnSync(process.execPath, ["--import", "tsx", resolve("test/notebooks/open.ts"), "--python", path], {
    encoding: "utf8",
  });

test.skipIf(process.platform === "win32")("says how to get Jupyter where it is not", () => {
  const { status, stderr } = open(python("bare", "none"));
  expect(status).toBe(1);
  expect(stderr).toMatch(
    /has no Jupyter\. Get it by .*pip install jupyterlab.*apt-get install jupyter-notebook/,
  );
});

test.skipIf(process.platform === "win32")(
  "starts the server there is on the notebooks, and leaves no kernel behind",
  () => {
    const before = readdirSync(tmpdir()).filter((name) => name.startsWith("notebook-kernel-"));
    const path = python("full", "notebook");
    expect(open(path).status).toBe(0);
    expect(readFileSync(`${path}.log`, "utf8")).toMatch(/^-m notebook .*notebooks$/m);
    const after = readdirSync(tmpdir()).filter((name) => name.startsWith("notebook-kernel-"));
    expect(after.filter((name) => !before.includes(name))).toEqual([]);
  },
);
