import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { commandLine } from "./run.js";

const study = (responses: readonly object[]) => ({
  schema: "beadbench/study/1",
  name: "odd names, invented",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.2 mm" },
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
  ],
  responses,
});
const settings = (i: number): string => `${100 + 10 * i},${120 + 17 * ((i * 5) % 11)}`;
const rows = (cell: (i: number) => string, title: string): string =>
  [
    `current [A],travel_speed [mm/min],bead_width [mm],${title}`,
    ...Array.from({ length: 10 }, (_, i) => `${settings(i)},${5 + 0.2 * i + 0.1 * ((i * i) % 3)},${cell(i)}`),
  ].join("\n");

describe("a response named like a part of every object", { timeout: 120_000 }, () => {
  test.each([
    [
      "measured",
      { unit: "mm", spec: { lower: 1, upper: 3 } },
      "constructor [mm]",
      (i: number) => `${1 + 0.2 * i}`,
    ],
    ["passFail", {}, "constructor", (i: number) => (i % 3 === 0 ? "" : i > 3 ? "yes" : "no")],
    ["grade", { spec: { lower: 3 } }, "constructor", (i: number) => (i === 1 ? "" : `${1 + ((i * 7) % 4)}`)],
  ] as const)(
    "constructor works in every command as a response of kind %s",
    async (kind, parts, title, cell) => {
      const shell = commandLine();
      const width = { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } };
      const definition = study([width, { name: "constructor", kind, ...parts }]);
      writeFileSync(join(shell.folder, "d.json"), JSON.stringify(definition));
      const good = async (...words: string[]) => {
        const found = await shell.run(...words);
        expect(found.status, `${words.join(" ")}: ${found.notes}`).toBe(0);
        return found.out;
      };
      await good("new", "s", "--from", "d.json");
      // Before any result, and with coupons planned that have none.
      await good("next", "s", "--coupons", "2");
      await good("export", "s");
      writeFileSync(join(shell.folder, "r.csv"), rows(cell, title));
      await good("import", "s", "r.csv");
      for (const command of ["check", "fit", "preset"]) await good(command, "s");
      await good("next", "s", "--coupons", "2", "--dry");
      await good("report", "s", "--html", "p.html");
      expect(readFileSync(join(shell.folder, "p.html"), "utf8")).not.toContain("native code");
      const csv = await good("export", "s");
      expect(csv).not.toContain("native code");
      expect(csv.split("\n")[0]).toContain(title);
      for (const value of [2, 5, 7].map(cell)) {
        expect(csv).toMatch(new RegExp(`,(${{ yes: "true", no: "false" }[value] ?? Number(value)}),`));
      }
    },
  );

  test.each(["__proto__", "toString"])("%s is refused in plain words", async (name) => {
    const shell = commandLine();
    const text = JSON.stringify(study([{ name: "NAME", kind: "passFail" }])).replace("NAME", name);
    writeFileSync(join(shell.folder, "d.json"), text);
    const found = await shell.run("new", "s", "--from", "d.json");
    expect(found.status).toBe(1);
    expect(found.notes).toMatch(/responses\[0\]\.name.*snake_case/);
  });
});

describe("a graded response", { timeout: 60_000 }, () => {
  const bead = { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } };
  const run = async (looks: object, ...words: string[]) => {
    const shell = commandLine();
    writeFileSync(
      join(shell.folder, "d.json"),
      JSON.stringify(study([bead, { name: "looks", kind: "grade", ...looks }])),
    );
    await shell.run("new", "s", "--from", "d.json");
    writeFileSync(
      join(shell.folder, "r.csv"),
      rows((i) => `${1 + ((i * 7) % 4)}`, "looks"),
    );
    const read = await shell.run("import", "s", "r.csv");
    expect(read.status, read.notes).toBe(0);
    return shell.run(...words);
  };

  test("with limits is a check of the window", async () => {
    const { out } = await run({ spec: { lower: 3 } }, "window", "s", "--detail");
    expect(out).toMatch(/of which bead_width \d+ %, looks \d+ %/);
    expect(out).not.toContain("any value counts as conforming");
  });

  test("without limits takes no part in the window, and the window says so", async () => {
    const { out } = await run({}, "window", "s", "--detail");
    expect(out).not.toMatch(/of which .*looks/);
    expect(out).toMatch(/does not say which looks is good, so any value counts as conforming/);
  });

  test("is fitted with the chance of each grade", async () => {
    const { out } = await run({}, "fit", "s", "--detail");
    expect(out).toMatch(/looks \(grade, more is better\), 10 coupons: 3 x 1, 2 x 2, 2 x 3, 3 x 4/);
    expect(out).toMatch(/in the middle +\d+ % +\d+ % +\d+ % +\d+ %/);
    expect(out).toMatch(/current 190 A +\d+ %/);
  });
});
