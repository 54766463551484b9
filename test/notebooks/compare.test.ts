import { describe, expect, test } from "vitest";
import { difference } from "./compare.js";
import { type Notebook, type Output, withOutputs } from "./notebook.js";

const stdout = (text: string | string[]): Output => ({ output_type: "stream", name: "stdout", text });
const stderr = (text: string): Output => ({ output_type: "stream", name: "stderr", text });
const svg = (text: string): Output => ({
  output_type: "display_data",
  data: { "image/svg+xml": text },
  metadata: {},
});

describe("difference", () => {
  test("is none for the same text, however it is cut into lines and pieces", () => {
    expect(difference([stdout(["a\n", "b\n"])], [stdout("a\n"), stdout("b\n")])).toBeUndefined();
  });

  test("finds a changed digit and shows both", () => {
    const fault = difference([stdout("width 6.21 mm\n")], [stdout("width 6.22 mm\n")]);
    expect(fault).toContain("stdout differs");
    expect(fault).toContain("6.21");
    expect(fault).toContain("6.22");
  });

  test("finds output that is new, gone, or on another stream", () => {
    expect(difference([], [stdout("a")])).toContain("new output 1");
    expect(difference([stdout("a"), svg("<svg/>")], [stdout("a")])).toContain("output 2 is gone");
    expect(difference([stdout("a")], [stderr("a")])).toContain("was stdout and is stderr");
  });

  test("lets a drawing move by a hair, not by a pixel, and not change in words", () => {
    const drawing = (x: number, word: string): Output[] => [svg(`<svg><text x="${x}">${word}</text></svg>`)];
    expect(difference(drawing(10.02, "Current"), drawing(10.03, "Current"))).toBeUndefined();
    expect(difference(drawing(10, "Current"), drawing(11, "Current"))).toContain("image/svg+xml differs");
    expect(difference(drawing(10, "Current"), drawing(10, "Voltage"))).toContain("image/svg+xml differs");
  });
});

test("withOutputs stores outputs by line, numbers the code cells, and leaves the rest", () => {
  const notebook: Notebook = {
    cells: [
      { cell_type: "markdown", id: "a", metadata: {}, source: "# Title\ntext" },
      {
        cell_type: "code",
        id: "b",
        metadata: {},
        source: "1 + 1",
        execution_count: 7,
        outputs: [stdout("old")],
      },
    ],
    metadata: { kernelspec: { name: "tslab", display_name: "TypeScript", language: "typescript" } },
    nbformat: 4,
    nbformat_minor: 5,
  };
  expect(withOutputs(notebook, [[stdout("2\n3")]])).toEqual({
    ...notebook,
    cells: [
      { cell_type: "markdown", id: "a", metadata: {}, source: ["# Title\n", "text"] },
      {
        cell_type: "code",
        id: "b",
        metadata: {},
        source: ["1 + 1"],
        execution_count: 1,
        outputs: [stdout(["2\n", "3"])],
      },
    ],
  });
});
