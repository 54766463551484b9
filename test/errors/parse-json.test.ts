import { expect, test } from "vitest";
import { parseJson } from "../../lib/errors/index.js";

// Some complaints of the parser carry a place and some do not: all are told by line and column.
test.each([
  ['{\n "name": "x",\n "factors": [,]\n}\n', 3, 14],
  ['{\n "name": "x"\n "unit": "mm"\n}\n', 3, 2],
  [`{\n "long": [${"1, ".repeat(5000)}1],\n "name": x\n}`, 3, 10],
  ['{\n "name": "a name that breaks\n"}', 2, 29],
])("parseJson tells the line and column of a fault in %j", (text, line, column) => {
  expect(() => parseJson(text, "study.json")).toThrow(
    new RegExp(`^study\\.json:${line}, column ${column}: is not valid JSON: `),
  );
});

test("parseJson refuses what is nested deeper than anything here can walk, and reads what only looks so", () => {
  const deep = (depth: number): string => `${"[".repeat(depth)}${"]".repeat(depth)}`;
  expect(() => parseJson(deep(10_000), "study.json")).toThrow(
    /^study\.json puts lists and objects into each other/,
  );
  expect(() => parseJson(`{"a":${'{"a":'.repeat(2000)}1${"}".repeat(2000)}}`, "x")).toThrow(/ deep/);
  expect(parseJson(deep(400), "x")).toHaveLength(1);
  expect(parseJson(JSON.stringify(Array(2000).fill([])), "x")).toHaveLength(2000);
  expect(parseJson(JSON.stringify({ note: "[{".repeat(3000) }), "x")).toHaveProperty("note");
});
