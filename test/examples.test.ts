import { readdirSync } from "node:fs";
import { join, relative } from "node:path";
import { describe, expect, test } from "vitest";
import { docstringExamples, lib, runExample } from "./support/docstring-examples.js";

/** Everything a docstring may call: its own file's exports, then every layer's. */
async function scopeOf(file: string): Promise<Record<string, unknown>> {
  const layers = readdirSync(lib, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && entry.name !== "cli")
    .map((entry) => import(join(lib, entry.name, "index.ts")));
  return Object.assign({}, ...(await Promise.all(layers)), await import(file));
}

describe("examples in docstrings", () => {
  test("there are some", () => {
    expect(docstringExamples.length).toBeGreaterThan(20);
  });

  test.each(
    docstringExamples.map((example) => [relative(lib, example.file), example.code, example] as const),
  )("%s: %s", async (_file, _code, example) => {
    const { actual, expected } = runExample(example, await scopeOf(example.file));
    expect(actual).toEqual(expected);
  });
});
