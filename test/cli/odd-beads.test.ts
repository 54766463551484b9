import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { commandLine } from "./run.js";

/** A small invented TIG study of its own folder, started and filled from a sheet. */
async function studied(rows: readonly string[], heading: string, ...more: readonly string[]) {
  const shell = commandLine();
  writeFileSync(join(shell.folder, "s.csv"), [heading, ...rows].join("\n"));
  const made = await shell.run("new", "s", "--from", "s.csv", "--process", "142", "--wire", "none", ...more);
  expect(made.status, made.notes).toBe(0);
  return { shell, made };
}
const heading = "coupon,current [A],travel_speed [mm/min],bead_width [mm]";
const sound = [100, 110, 120, 130, 140, 150].map(
  (current, i) => `B${i + 1},${current},${150 + 20 * ((3 * i) % 5)},${(4 + current / 50).toFixed(2)}`,
);

describe("values that cannot be", { timeout: 120_000 }, () => {
  test("a width of 0 is told at import, with the command that mends it", async () => {
    const { shell } = await studied(sound, heading);
    writeFileSync(join(shell.folder, "more.csv"), [heading, "Z1,125,170,0"].join("\n"));
    const { notes } = await shell.run("import", "s", "more.csv");
    expect(notes).toMatch(/Z1: bead_width of 0 mm cannot be: a bead has a size above 0/);
    expect(notes).toMatch(/log s Z1 --correct bead_width="<value> mm"/);
  });

  test("a speed of 0 is told at import", async () => {
    const { shell } = await studied(sound, heading);
    writeFileSync(join(shell.folder, "more.csv"), [heading, "Z1,125,0,6.5"].join("\n"));
    expect((await shell.run("import", "s", "more.csv")).notes).toMatch(
      /travel.speed.*0 mm\/s|travel_speed 0/,
    );
    const { out } = await shell.run("check", "s");
    expect(out).not.toMatch(/Z1: bead_width/);
  });

  test("a current below 0 is refused, by log and by import", async () => {
    const { shell } = await studied(sound, heading);
    writeFileSync(join(shell.folder, "more.csv"), [heading, "Z1,-125,170,6.5"].join("\n"));
    const imported = await shell.run("import", "s", "more.csv");
    expect(imported.status).toBe(1);
    expect(imported.notes).toMatch(/current.*cannot be below 0, got -125; check the sign/);
    const logged = await shell.run("log", "s", "Z2", "current=120 A", "travel_speed=-170 mm/min");
    expect(logged.status).toBe(1);
    expect(logged.notes).toMatch(/travel_speed cannot be below 0/);
  });

  test("what may have either sign is taken", async () => {
    const { shell } = await studied(
      sound.map((row, i) => `${row},${i - 2}`),
      `${heading},torch_angle [deg]`,
    );
    expect((await shell.run("import", "s", "s.csv")).status).toBe(0);
  });
});

test("grades entered as plain numbers are no slips at the ends of their scale", {
  timeout: 120_000,
}, async () => {
  const grades = [3, 3, 3, 3, 3, 3, 3, 3, 3, 1, 3, 3];
  const rows = grades.map((grade, i) => `G${i + 1},${100 + 5 * i},${150 + 20 * ((3 * i) % 5)},${grade}`);
  const { shell } = await studied(rows, "coupon,current [A],travel_speed [mm/min],wetting [1]");
  await shell.run("import", "s", "s.csv");
  expect((await shell.run("check", "s")).out).not.toMatch(/slip of the pen/);
});

test("check names a block that acts, and does not ask to name one that is named", {
  timeout: 120_000,
}, async () => {
  const rows = Array.from({ length: 24 }, (_, i) => {
    const day = 1 + (i % 3);
    const width =
      6 * (1 + 0.15 * Number(day === 2)) * (1 + 0.01 * (((i * 7) % 5) - 2)) * (1 + 0.002 * (i % 4));
    return `D${i + 1},${100 + 10 * (i % 4)},${150 + 20 * (i % 2)},${width.toFixed(3)},${day}`;
  });
  const { shell } = await studied(rows, `${heading},day`);
  await shell.run("import", "s", "s.csv");
  const { out } = await shell.run("check", "s");
  expect(out).toMatch(/wider on day 2 than on the others/);
  expect(out).not.toMatch(/name the block under/);
  expect(out).toMatch(/`fit` takes a shift\s+for each/);
});
