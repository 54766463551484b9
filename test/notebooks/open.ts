/**
 * Opens the notebooks in Jupyter, with a kernel of their own that is gone afterwards; says how to get Jupyter where it is
 * not installed.
 *
 *     npm run notebook
 *     npm run notebook -- --python /usr/bin/python3
 */
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { installArguments, kernelsOf } from "./executors.js";

const notebooks = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..", "notebooks");
const { values } = parseArgs({
  options: { python: { type: "string", default: process.platform === "win32" ? "python" : "python3" } },
});

const works = (args: readonly string[]): boolean => spawnSync(values.python, args).status === 0;

function open(): number {
  // Asked as modules, so that notebook server and kernel belong to one Python.
  const server = ["jupyterlab", "notebook"].find((name) => works(["-m", name, "--version"]));
  if (server === undefined) {
    console.error(
      `${values.python} has no Jupyter. Get it by \`${values.python} -m pip install jupyterlab\`, or on Debian \`apt-get install jupyter-notebook\`, or name a Python that has it: npm run notebook -- --python /usr/bin/python3. \`npm run notebooks\` runs the notebooks without it; their outputs are stored in them.`,
    );
    return 1;
  }
  const folder = mkdtempSync(join(tmpdir(), "notebook-kernel-"));
  try {
    const installed = spawnSync(process.execPath, installArguments(values.python, folder), {
      encoding: "utf8",
    });
    if (installed.status !== 0) {
      console.error(`the kernel could not be installed: ${installed.error?.message ?? installed.stderr}`);
      return 1;
    }
    const path = [kernelsOf(folder), process.env.JUPYTER_PATH]
      .filter((one) => one !== undefined)
      .join(delimiter);
    const env = { ...process.env, JUPYTER_PATH: path };
    return spawnSync(values.python, ["-m", server, notebooks], { stdio: "inherit", env }).status ?? 1;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

// The server ends by Ctrl-C, which must not end this before the kernel is removed.
process.on("SIGINT", () => undefined);
process.exitCode = open();
