import { describe, expect, test } from "vitest";
import { readTable } from "../../../lib/study/index.js";

const columns = [
  { name: "layer", unit: "1" },
  { name: "standoff", unit: "mm", optional: true },
  { name: "note", unit: "text", optional: true },
  { name: "stuck", unit: "yes/no", optional: true },
] as const;

describe("readTable", () => {
  test("converts units, reads words and yes/no, and leaves empty cells out", () => {
    expect(readTable('layer,standoff [in],note,stuck\n1,0.1,"a, b",yes\n2,,,no\n', columns)).toEqual([
      { layer: 1, standoff: 2.54, note: "a, b", stuck: 1 },
      { layer: 2, stuck: 0 },
    ]);
  });

  test("reads semicolons with a decimal comma the same", () => {
    expect(readTable("layer;standoff [mm]\r\n1;2,5\r\n", columns)).toEqual(
      readTable("layer,standoff [mm]\n1,2.5\n", columns),
    );
  });

  test.each([
    ["standoff [mm]\n2.5\n", /"layer": is missing; name a column layer \[1\]/],
    ["layer,standoff\n1,2.5\n", /"standoff": needs a unit like mm/],
    ["layer,standoff [A]\n1,2.5\n", /"standoff \[A\]": needs a unit like mm/],
    ["layer,standoff [mm]\n1,high\n", /t.csv:2, "standoff": .*got "high"/],
    ["layer,stuck\n1,maybe\n", /t.csv:2, "stuck": must be one of/],
    ["layer,standoff [mm]\n,2\n", /t.csv:2, "layer": is empty/],
  ])("refuses %j, naming line and column", (text, message) => {
    expect(() => readTable(text, columns, { file: "t.csv" })).toThrow(message);
  });

  test("settles a doubtful decimal mark by any column of the file, else asks for it with the cell's place", () => {
    const wanted = [{ name: "yield", unit: "g" }];
    expect(readTable("power [W];yield [g]\n0,5;1,002\n1;1,822\n", wanted)).toEqual([
      { yield: 1.002 },
      { yield: 1.822 },
    ]);
    const doubtful = "note;yield [g]\n12.05.;\na;1,002\n";
    const asOne = wanted.map((column) => ({ ...column, optional: true }));
    expect(() => readTable(doubtful, asOne, { file: "t.csv" })).toThrow(
      /t.csv:3, "yield \[g\]": could be .*--decimal.*got "1,002"/,
    );
    expect(readTable(doubtful, asOne, { decimal: "," })).toEqual([{}, { yield: 1.002 }]);
  });
});
