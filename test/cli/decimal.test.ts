import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

describe("the decimal mark of a CSV file", () => {
  const shell = commandLine();

  test.each([
    "new",
    "import",
    "evaluate",
    "standoff",
    "section",
    "stickout",
    "melt-back",
    "sticking",
    "calibration",
    "cooling",
    "purge",
    "curve",
  ])("%s takes it as an option", async (command) => {
    expect((await shell.run(command, "--help")).out).toContain("--decimal <mark>");
  });

  test("is asked for with line, column and cell, and then read as stated", async () => {
    const rows = [1, 2, 3, 4, 5].map((x) => `${x},000;${2 * x},000`);
    writeFileSync(join(shell.folder, "doubt.csv"), ["x [mm];y [mm]", ...rows].join("\n"));
    const words = ["curve", "doubt.csv", "--response", "y", "--formula", "a*x", "--json"];
    const asked = await shell.run(...words);
    expect(asked.status).not.toBe(0);
    expect(asked.notes).toMatch(/doubt.csv:2, "x \[mm\]": .*--decimal.*got "1,000"/);
    const { out } = await shell.run(...words, "--decimal", ",");
    expectDigits(JSON.parse(out).estimates.a, 2, 13);
    expect((await shell.run(...words, "--decimal", ";")).notes).toContain("Write . or , as decimal mark");
  });
});
