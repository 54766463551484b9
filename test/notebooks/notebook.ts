import { readFileSync, writeFileSync } from "node:fs";

/** An output of a cell, in the form of the Jupyter notebook format, version 4.5. */
export type Output =
  | { output_type: "stream"; name: "stdout" | "stderr"; text: string | string[] }
  | { output_type: "display_data"; data: Record<string, string | string[]>; metadata: object };

export interface Cell {
  cell_type: "code" | "markdown";
  id: string;
  metadata: object;
  source: string | string[];
  execution_count?: number | null;
  outputs?: Output[];
}

export interface Notebook {
  cells: Cell[];
  metadata: { kernelspec?: { name: string; display_name: string; language: string }; [key: string]: unknown };
  nbformat: number;
  nbformat_minor: number;
}

export const readNotebook = (path: string): Notebook => JSON.parse(readFileSync(path, "utf8"));

/** Text of the format: one string, or a list of lines. */
export const joined = (text: string | readonly string[]): string =>
  typeof text === "string" ? text : text.join("");

const lines = (text: string | readonly string[]): string[] => joined(text).match(/[^\n]*\n|[^\n]+/g) ?? [];

export const codeCells = (notebook: Notebook): Cell[] =>
  notebook.cells.filter((cell) => cell.cell_type === "code");

/**
 * The notebook with these outputs, one list per code cell. Nothing is stored but what the cells print and
 * show: no times, no machine.
 */
export function withOutputs(notebook: Notebook, outputs: readonly (readonly Output[])[]): Notebook {
  let n = 0;
  const cells = notebook.cells.map((cell) => {
    if (cell.cell_type !== "code") return { ...cell, source: lines(cell.source) };
    const own = outputs[n++] ?? [];
    return { ...cell, source: lines(cell.source), execution_count: n, outputs: own.map(storedOutput) };
  });
  return { ...notebook, cells };
}

function storedOutput(output: Output): Output {
  if (output.output_type === "stream") return { ...output, text: lines(output.text) };
  const data = Object.entries(output.data).map(([type, text]) => [type, lines(text)]);
  return { output_type: "display_data", data: Object.fromEntries(data), metadata: {} };
}

/** Writes as notebook programs do, keys sorted and indented by one, so that saving there changes nothing. */
export function writeNotebook(path: string, notebook: Notebook): void {
  const sorted = (_: string, value: unknown): unknown =>
    typeof value === "object" && value !== null && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
      : value;
  writeFileSync(path, `${JSON.stringify(notebook, sorted, 1)}\n`);
}
