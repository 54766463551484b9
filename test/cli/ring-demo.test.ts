import { cpSync, existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { readmeLines } from "../support/readme-lines.js";
import { commandLine, type Ran } from "./run.js";

const line = commandLine();
const { run } = line;
let shown: Ran;
beforeAll(async () => {
  shown = await run("demo", "--ring");
});

describe("the demo of a long build", () => {
  test("is played: attempts, the next ring with its limits, and the evening with its sheet", () => {
    expect(shown.status, shown.notes).toBe(0);
    expect(shown.out).toMatch(/all data are invented/);
    expect(shown.out).toMatch(/ring-5 .*finished +200/);
    expect(shown.out).toMatch(/interpass +passed/);
    expect(shown.out).toMatch(/ring-5: running, 115 of 200 layers/);
    expect(shown.out).toMatch(
      /Stand-off ahead, by \d+ readings: 3\.\d+ mm before layer 121, levelled\s+there/,
    );
    for (const name of ["schedule.json", "plan.json", "forecast.html", "sheet.html", "study", "evening"])
      expect(existsSync(join(line.folder, "out", "ring", name)), name).toBe(true);
    const page = readFileSync(join(line.folder, "out", "ring", "forecast.html"), "utf8");
    expect(page).toMatch(/<body class="one-paper dense">/);
    expect(page).toContain("stays with the build from the first strike to the last");
    expect(page).toMatch(/Cost<\/th><td class="prose">\d+ EUR: gas/);
  });

  test("is played again in place of the one before, and over nothing else", async () => {
    expect((await run("demo", "--ring")).status).toBe(0);
    const { status, notes } = await run("demo", join("out", "ring"));
    // The coupon demo keeps its study in a folder of the same name.
    expect(status).toBe(1);
    expect(notes).toMatch(/exists and is not the demo study/);
  });

  test("the lines of the README on long builds run as they stand, on a copy of the study", async () => {
    cpSync(join(line.folder, "out", "ring", "study"), join(line.folder, "my-study"), { recursive: true });
    const preset = await run("preset", "my-study", "--json");
    writeFileSync(join(line.folder, "preset.json"), preset.out);
    const lines = readmeLines("Long builds");
    expect(lines.map(([command]) => command)).toEqual(
      expect.arrayContaining(["incidents", "wall", "forecast", "build", "incident"]),
    );
    for (const typed of lines) {
      const [words, file] = typed.includes(">")
        ? [typed.slice(0, typed.indexOf(">")), typed.at(-1)!]
        : [typed, undefined];
      const { status, out, notes } = await run(...words);
      expect(status, `${words.join(" ")}: ${notes}`).toBe(0);
      if (file !== undefined) writeFileSync(join(line.folder, file), out);
    }
    const running = JSON.parse((await run("build", "my-study", "--json")).out);
    expect(JSON.stringify(running)).toContain("ring-6");
  });

  test("gives a wall the heights its builds logged, and says which have none", async () => {
    const study = join("out", "ring", "study");
    const wall = (...more: readonly string[]) =>
      run("wall", study, "current=140A", "--ring-diameter", "80 mm", "--layers", "60", ...more);
    const built = JSON.parse((await wall("--built", "ring-4", "ring-5", "--json")).out);
    expect(built.walls.map(({ wall: name }: { wall: string }) => name)).toEqual(["ring-4", "ring-5"]);
    const bare = JSON.parse((await wall("--json")).out);
    const width = ({ layers }: typeof bare) => layers[39].growthHigh - layers[39].growthLow;
    expect(width(built)).toBeLessThan(0.2 * width(bare));
    // By the demo's law a layer grows 1.32 mm less some 4 % for heat.
    expect(Math.abs(built.layers[39].growth - 1.32 * 0.965)).toBeLessThan(0.04);
    expect(built.findings.map(({ code }: { code: string }) => code)).toContain("log-taken-as-is");
    expect((await wall("--built", "ring-9")).notes).toMatch(/there is no build ring-9; did you mean/);
    await run("build", study, "ring-6", "--start");
    expect((await wall("--built", "ring-6")).notes).toMatch(/build ring-6 has no height logged: log one/);
  });
});
