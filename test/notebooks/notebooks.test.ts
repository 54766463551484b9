import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { codeCells, joined, readNotebook } from "./notebook.js";

const folder = new URL("../../notebooks/", import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith(".ipynb"));

test("there are notebooks", () => {
  expect(names.length).toBeGreaterThan(0);
});

describe.each(names)("%s", (name) => {
  const notebook = readNotebook(fileURLToPath(new URL(name, folder)));
  const cells = codeCells(notebook);

  test("is for the TypeScript kernel, in format 4.5", () => {
    expect(notebook.metadata.kernelspec).toEqual({
      name: "tslab",
      display_name: "TypeScript",
      language: "typescript",
    });
    expect([notebook.nbformat, notebook.nbformat_minor]).toEqual([4, 5]);
    expect(new Set(notebook.cells.map((cell) => cell.id)).size).toBe(notebook.cells.length);
  });

  test("imports from beadbench and tslab only", () => {
    const imported = cells.flatMap((cell) =>
      [...joined(cell.source).matchAll(/(?:from|import|require)\s*\(?\s*["']([^"']+)["']/g)].map(
        (match) => match[1],
      ),
    );
    expect(new Set(imported)).toEqual(new Set(["beadbench", "tslab"]));
  });

  test("is stored with its outputs, run top to bottom, with a chart and without errors", () => {
    expect(cells.map((cell) => cell.execution_count)).toEqual(cells.map((_, i) => i + 1));
    const outputs = cells.flatMap((cell) => cell.outputs ?? []);
    expect(
      outputs.some((output) => output.output_type === "display_data" && "image/svg+xml" in output.data),
    ).toBe(true);
    expect(outputs.filter((output) => output.output_type === "stream" && output.name === "stderr")).toEqual(
      [],
    );
  });
});
