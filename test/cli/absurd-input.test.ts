import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

/** Tables with cells that no rig writes, and what each is told. */
const tables: readonly (readonly [command: string, csv: string, told: readonly RegExp[]])[] = [
  [
    "stickout",
    "current [A],wire_feed_speed [mm/s],stickout [mm]\n-150,60,12\n180,9000,15\n200,80,300\n",
    [
      /-:2, "current": current must be above 0 .* got -150 A; wire-arc deposition runs at 20 to 400 A/,
      /-:3, "wire_feed_speed": wire feed speed must be .* got 9000 mm\/s; .* must be multiplied by 16.667/,
      /-:4, "stickout": electrode extension must be .* got 300 mm; 8 to 25 mm is usual/,
    ],
  ],
  [
    "stickout",
    "current [A],arc_voltage [V],standoff [mm]\n150,200,3\n150,12,-3\n",
    [
      /-:2, "arc_voltage": .* got 200 V; a burning arc shows 7 to 45 V/,
      /-:3, "standoff": .* got -3 mm; 1 to 5 mm for a tungsten/,
    ],
  ],
  [
    "melt-back",
    "burn_back_time [s],extension_change [mm]\n-0.02,1\n80,0.5\n",
    [
      /-:2, "burn_back_time": .* got -0.02 s/,
      /-:3, "burn_back_time": .* got 80 s; .* in ms must be divided by 1000/,
    ],
  ],
  [
    "sticking",
    "delay [s],stuck\n-1,no\n0.5,perhaps\n",
    [
      /-:2, "delay": retract delay must be at least 0 .* got -1 s/,
      /-:3, "stuck": must be one of .* got "perhaps"/,
    ],
  ],
];

describe("tables of readings with absurd cells are refused, every cell named", () => {
  test.each(tables)("%s %#", async (command, csv, told) => {
    const { status, notes } = await commandLine().pipe(csv, command, "-");
    expect(status).toBe(1);
    for (const pattern of told) expect(notes).toMatch(pattern);
  });

  test("too few readings are counted in plain words", async () => {
    const one = (csv: string, ...args: readonly string[]) => commandLine().pipe(csv, ...args);
    const line = await one(
      "date,set [A],measured [A]\n2026-01-05,100,98\n",
      "calibration",
      "-",
      "--unit",
      "A",
    );
    expect(line.notes).toMatch(
      /the calibration line of 2026-01-05 takes at least 3 readings, got 1: log more/,
    );
    const stops = await one("burn_back_time [s],extension_change [mm]\n0.02,1\n0.04,0.4\n", "melt-back", "-");
    expect(stops.notes).toMatch(/a melt-back line takes at least 3 readings, got 2: log more/);
    const law = await one("current [A],wire_feed_speed [mm/s],stickout [mm]\n150,60,12\n", "stickout", "-");
    expect(law.notes).toMatch(/a law of 2 coefficients takes at least 3 readings, got 1: log more/);
  });
});

describe("a study", () => {
  test("of wire 12 mm thick is not started", async () => {
    const shell = commandLine();
    writeFileSync(
      join(shell.folder, "study.json"),
      JSON.stringify(tigDefinition({ wire: { classification: "ER308L", diameter: "12 mm" } })),
    );
    const { status, notes } = await shell.run("new", "thick", "--from", "study.json");
    expect(status).toBe(1);
    expect(notes).toMatch(/wire diameter must be .* got 12 mm; .* check the decimal point \(12 for 1.2\)/);
    expect(existsSync(join(shell.folder, "thick"))).toBe(false);
  });

  test("of a factor range no rig reaches is not started, and the file, factor and value are named", async () => {
    const shell = commandLine();
    const factors = [
      { name: "current", unit: "A", low: 100, high: 2000 },
      { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
    ];
    writeFileSync(join(shell.folder, "study.json"), JSON.stringify(tigDefinition({ factors })));
    const { status, notes } = await shell.run("new", "mighty", "--from", "study.json");
    expect(status).toBe(1);
    expect(notes).toMatch(
      /study.json: factor current, high 2000 A: current must be above 0 and at most 1500 A/,
    );
    expect(existsSync(join(shell.folder, "mighty"))).toBe(false);
  });

  test("says at once when a coupon is logged that no rig could have run, and keeps what was typed", async () => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "study.json"), JSON.stringify(tigDefinition()));
    expect((await shell.run("new", "beads", "--from", "study.json")).status).toBe(0);
    const setting = ["current=150A", "travel_speed=0 mm/min", "wire_feed_speed=1 m/min"];
    const logged = await shell.run("log", "beads", "K1", ...setting);
    expect(logged.status).toBe(0);
    expect(logged.notes).toMatch(/Mind, K1: travel speed must be above 0/);
    const good = await shell.run(
      "log",
      "beads",
      "K1",
      "travel_speed=180 mm/min",
      "--correct",
      "--why",
      "mistyped",
    );
    expect(good.notes).toBe("");
    expect((await shell.run("check", "beads")).status).toBe(0);
  });
});
