/**
 * Runs the code cells of one notebook, top to bottom, through the kernel's own converter and executor, and
 * sends what they print and show to the parent process. Plain JavaScript and a process of its own, so that
 * the package is loaded exactly as a kernel loads it.
 *
 *     node execute.mjs notebook.ipynb      (forked by run.ts from the folder of the notebook)
 */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(import.meta.url);
const { createConverter } = require("tslab/dist/converter.js");
const { createExecutor } = require("tslab/dist/executor.js");
const kernel = require("tslab/dist/jupyter.js");

const notebook = JSON.parse(readFileSync(process.argv[2], "utf8"));
const node = createConverter({ isJS: false, isBrowser: false });
const converters = { node, browser: node, close: () => node.close() };
const executor = createExecutor(process.cwd(), converters, console);

let outputs = [];
const capture = (name) => (chunk) => {
  const text = typeof chunk === "string" ? chunk : Buffer.from(chunk).toString("utf8");
  const last = outputs.at(-1);
  if (last?.output_type === "stream" && last.name === name) last.text += text;
  else outputs.push({ output_type: "stream", name, text });
  return true;
};
process.stdout.write = capture("stdout");
process.stderr.write = capture("stderr");
kernel.lastWriteDisplayData = ({ data }) => {
  outputs.push({ output_type: "display_data", data, metadata: {} });
};

const cells = [];
let ok = true;
for (const cell of notebook.cells) {
  if (cell.cell_type !== "code" || !ok) continue;
  outputs = [];
  ok = await executor.execute([cell.source].flat().join(""));
  cells.push(outputs);
}
process.send({ ok, cells }, () => process.exit(0));
