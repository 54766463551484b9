import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { commandLine } from "./run.js";

describe("a study of categories alone", { timeout: 60_000 }, () => {
  const shell = commandLine();
  const definition = {
    schema: "beadbench/study/1",
    name: "gas and tip, invented",
    process: "141",
    wire: { classification: "ER308L", diameter: "1.2 mm" },
    factors: [
      { name: "gas_mix", kind: "category", levels: ["A", "B"] },
      { name: "tip", kind: "category", levels: ["x", "y", "z"] },
    ],
    responses: [
      { name: "bead_width", unit: "mm", kind: "measured", spec: { lower: 5.5, upper: 6.5 } },
      { name: "sound", kind: "passFail" },
    ],
  };

  beforeAll(async () => {
    writeFileSync(join(shell.folder, "study.json"), JSON.stringify(definition));
    expect((await shell.run("new", "tips", "--from", "study.json")).status).toBe(0);
  });

  test("next proposes each setting once, says when there are no more, and claims no physics", async () => {
    const found = await shell.run("next", "tips", "--coupons", "20", "--dry");
    expect(found.status, found.notes).toBe(0);
    expect(found.out).toMatch(/^6 coupons/);
    expect(found.out).toContain("only 6 different settings come into question");
    expect(found.out).toContain("no physics for these factors");
    expect(found.out).not.toContain("[1]");
  });

  test("window, preset and report answer with levels in place of ranges", async () => {
    const rows = ["A,x,5.8,pass", "A,y,6.9,pass", "B,x,,fail", "B,z,6.1,pass", "A,z,6.2,pass", "B,y,,fail"];
    const csv = ["gas_mix,tip,bead_width [mm],sound", ...rows].join("\n");
    writeFileSync(join(shell.folder, "results.csv"), csv);
    expect((await shell.run("import", "tips", "results.csv")).status).toBe(0);
    const window = await shell.run("window", "tips", "--detail");
    expect(window.status, window.notes).toBe(0);
    expect(window.out).toMatch(/gas_mix +A +A +A\n/);
    expect((await shell.run("preset", "tips")).out).toMatch(/gas_mix +A +A\n/);
    expect((await shell.run("report", "tips", "--html", "page.html")).status).toBe(0);
    expect(readFileSync(join(shell.folder, "page.html"), "utf8")).toContain("Process window");
  });
});

test("fit tells another level of a category apart from more of a setting, by the factor its beads were made with", async () => {
  const shell = commandLine();
  const definition = {
    schema: "beadbench/study/1",
    name: "gases, invented",
    process: "141",
    wire: { classification: "ER308L", diameter: "1.2 mm" },
    factors: [
      { name: "current", unit: "A", low: 100, high: 200 },
      { name: "gas", kind: "category", levels: ["argon", "helium mix"] },
    ],
    responses: [{ name: "bead_width", unit: "mm", kind: "measured", scale: "log" }],
  };
  writeFileSync(join(shell.folder, "study.json"), JSON.stringify(definition));
  expect((await shell.run("new", "gases", "--from", "study.json")).status).toBe(0);
  // A width of 5 (I / 150 A)^0.5 mm, 20 % more with helium, in pairs of repeats that differ by about 1 %.
  const slips = [0.7, -0.4, -0.9, 0.3, 0.1, -0.6, 0.8, 0.2, -0.3, 0.9, -0.8, -0.1, 0.5, 0.4, -0.2, -0.7];
  const rows = slips.map((slip, i) => {
    const current = 110 + 25 * (i >> 2);
    const helium = i % 2 === 1;
    const width = 5 * Math.sqrt(current / 150) * (helium ? 1.2 : 1) * (1 + slip / 100);
    return `${current},${helium ? "helium mix" : "argon"},${width.toFixed(3)}`;
  });
  writeFileSync(join(shell.folder, "rows.csv"), `current [A],gas,bead_width [mm]\n${rows.join("\n")}\n`);
  expect((await shell.run("import", "gases", "rows.csv")).status).toBe(0);
  const said = (await shell.run("fit", "gases")).out.replace(/\s+/g, " ");
  expect(said).toMatch(/10 % more of a setting gives, others held: current (4\.[5-9]|5\.[0-3]) % more\./);
  expect(said).toMatch(/Changed alone: gas helium mix instead of argon (19|20)\.\d % more\./);
});
