/**
 * Runs every notebook top to bottom and compares what it prints and shows with what is stored in it.
 *
 *     npm run notebooks                    check
 *     npm run notebooks -- --write         run and store the outputs
 *     npm run notebooks -- --jupyter       check through a Jupyter client (needs Python with nbclient)
 *     npm run notebooks -- notebooks/01-first-study.ipynb    only these
 *     npm run notebooks -- --help          print this
 *
 * Ends with 1 when a cell fails, an output differs, or a notebook takes longer than 30 s.
 */
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { difference } from "./compare.js";
import { type Executor, executeDirectly, withJupyter } from "./executors.js";
import { codeCells, joined, type Output, readNotebook, withOutputs, writeNotebook } from "./notebook.js";

const secondsAllowed = 30;
const root = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..");

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    help: { type: "boolean", short: "h", default: false },
    write: { type: "boolean", default: false },
    jupyter: { type: "boolean", default: false },
    python: { type: "string", default: process.platform === "win32" ? "python" : "python3" },
  },
});

if (values.help) {
  const head = /^\/\*\*\n([\s\S]*?)\n \*\//.exec(readFileSync(fileURLToPath(import.meta.url), "utf8"));
  console.log(head![1]!.replaceAll(/^ \* ?/gm, ""));
  process.exit(0);
}

function allNotebooks(): string[] {
  const folder = join(root, "notebooks");
  return readdirSync(folder)
    .filter((name) => name.endsWith(".ipynb"))
    .sort()
    .map((name) => join(folder, name));
}

/** Runs one notebook; returns the faults found. */
async function runNotebook(path: string, execute: Executor): Promise<string[]> {
  const notebook = readNotebook(path);
  const stored = codeCells(notebook);
  const start = performance.now();
  const run = await execute(path);
  const seconds = (performance.now() - start) / 1000;
  const faults: string[] = [];
  if (!run.ok) {
    const printed = (run.cells.at(-1) ?? []).map((output) => textOf(output)).join("");
    faults.push(`code cell ${run.cells.length} failed:\n    ${printed.trim().replaceAll("\n", "\n    ")}`);
  } else if (values.write) {
    writeNotebook(path, withOutputs(notebook, run.cells));
  } else {
    stored.forEach((cell, i) => {
      const fault = difference(cell.outputs ?? [], run.cells[i] ?? []);
      if (fault !== undefined) faults.push(`code cell ${i + 1}: ${fault}`);
    });
  }
  if (seconds > secondsAllowed) faults.push(`took ${seconds.toFixed(1)} s, more than ${secondsAllowed} s`);
  const verdict = faults.length > 0 ? "FAILED" : values.write ? "written" : "as stored";
  console.log(`${relative(root, path)}: ${stored.length} code cells, ${seconds.toFixed(1)} s, ${verdict}`);
  for (const fault of faults) console.log(`  ${fault}`);
  return faults;
}

const textOf = (output: Output): string => (output.output_type === "stream" ? joined(output.text) : "");

async function main(): Promise<void> {
  const notebooks = positionals.length > 0 ? positionals : allNotebooks();
  if (notebooks.length === 0) throw new Error("there is no notebook in notebooks/");
  const runAll = async (execute: Executor): Promise<number> => {
    let faults = 0;
    for (const notebook of notebooks) faults += (await runNotebook(notebook, execute)).length;
    return faults;
  };
  const faults = values.jupyter ? await withJupyter(values.python, runAll) : await runAll(executeDirectly);
  if (faults > 0) process.exitCode = 1;
}

main().catch((error: Error) => {
  console.error(error.message);
  process.exitCode = 1;
});
