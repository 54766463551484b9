import { fork, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import type { Output } from "./notebook.js";

/** What the code cells gave; fewer cells than the notebook has when one of them failed. */
export interface Run {
  readonly ok: boolean;
  readonly cells: readonly (readonly Output[])[];
}

export type Executor = (notebook: string) => Promise<Run>;

const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, "..", "..");
const kernelProgram = join(root, "node_modules", "tslab", "bin", "tslab");
/** What a Jupyter client starts; Windows needs the wrapper that npm makes. */
const kernelCommand =
  process.platform === "win32" ? join(root, "node_modules", ".bin", "tslab.cmd") : kernelProgram;
const plainOutput = { NO_COLOR: "1", NODE_NO_WARNINGS: "1" };

/** Runs a notebook in a child process, through the converter and executor of the kernel. */
export const executeDirectly: Executor = (notebook) =>
  new Promise((done, fail) => {
    const child = fork(join(here, "execute.mjs"), [resolve(notebook)], {
      cwd: dirname(resolve(notebook)),
      env: { ...process.env, ...plainOutput },
      execArgv: [],
    });
    let run: Run | undefined;
    child.on("message", (message) => {
      run = message as Run;
    });
    child.on("error", fail);
    child.on("exit", (code) =>
      run === undefined ? fail(new Error(`the notebook process ended with code ${code}`)) : done(run),
    );
  });

/** What installs the kernel into a folder, by a Python that has a Jupyter client. */
export const installArguments = (python: string, folder: string): readonly string[] => [
  kernelProgram,
  "install",
  `--python=${python}`,
  `--binary=${kernelCommand}`,
  `--prefix=${folder}`,
];

/** Where Jupyter finds a kernel installed into a folder: its JUPYTER_PATH. */
export const kernelsOf = (folder: string): string => join(folder, "share", "jupyter");

/** Installs the kernel into a folder of its own, hands an executor to `use`, and removes the folder. */
export async function withJupyter<T>(python: string, use: (execute: Executor) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), "notebook-kernel-"));
  const env = {
    ...process.env,
    ...plainOutput,
    JUPYTER_PATH: kernelsOf(folder),
    JUPYTER_DATA_DIR: folder,
    JUPYTER_RUNTIME_DIR: join(folder, "runtime"),
    IPYTHONDIR: folder,
  };
  const run = (program: string, args: readonly string[]): string => {
    const result = spawnSync(program, args, { env, encoding: "utf8", maxBuffer: 1 << 28 });
    if (result.status !== 0) {
      throw new Error(`${program} ${args.join(" ")} failed: ${result.error?.message ?? result.stderr}`);
    }
    return result.stdout;
  };
  try {
    run(process.execPath, installArguments(python, folder));
    return await use(async (notebook) =>
      JSON.parse(run(python, [join(here, "jupyter.py"), resolve(notebook)])),
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
