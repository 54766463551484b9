import { describe, expect, test } from "vitest";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const data = async (...args: readonly string[]) => {
  const { status, out, notes } = await shell.run(...args, "--json");
  expect(status, notes).toBe(0);
  return JSON.parse(out);
};
const refusal = async (...args: readonly string[]): Promise<string> => {
  const { status, out, notes } = await shell.run(...args);
  expect(status).toBe(1);
  expect(out).toBe("");
  return notes;
};

describe("gas", () => {
  const full = ["gas", "--cylinder", "50 L", "--pressure", "200 bar"];

  test("knows what a full cylinder holds, and how long it lasts", async () => {
    const { cylinder } = await data(...full, "--flow", "12 L/min");
    // Suppliers' lists give 10.7 m3 for 50 L at 200 bar (from memory; read from the pressure of the air on).
    expect(Math.abs(cylinder.content / 10.7 - 1)).toBeLessThan(0.01);
    expectDigits(cylinder.timeLeft, (1000 * cylinder.usable) / 12, 12);
    // 7 bar left in: 50 L of nearly ideal gas at 7 bar is 0.35 m3.
    expect(Math.abs(cylinder.content - cylinder.usable - 0.35)).toBeLessThan(0.005);
  });

  test("an empty gauge leaves nothing to use, and a warm cylinder holds less than its gauge seems to say", async () => {
    const { cylinder } = await data("gas", "--cylinder", "50 L", "--pressure", "0 bar", "--flow", "12 L/min");
    expect(cylinder).toMatchObject({ usable: 0, timeLeft: 0 });
    const warm = await data(...full, "--temperature", "45 degC");
    expect(warm.cylinder.content).toBeLessThan((await data(...full)).cylinder.content);
  });

  test("tells a mixture from argon, and refuses one that condenses", async () => {
    const argon = (await data(...full)).cylinder.content;
    expect((await data(...full, "--gas", "Ar 82 CO2 18")).cylinder.content / argon).toBeGreaterThan(1.05);
    expect((await data(...full, "--gas", "Ar 50 He 50")).cylinder.content / argon).toBeLessThan(0.95);
    expect(await refusal(...full, "--gas", "CO2")).toMatch(/condenses in its cylinder/);
    expect(await refusal(...full, "--gas", "argonne")).toMatch(/argonne is none of Ar, He, CO2/);
  });

  test("reads pounds and cubic feet", async () => {
    const { cylinder, room } = await data(
      ...["gas", "--cylinder", "50 L", "--pressure", "2900.75 psi", "--room", "1059.44 ft3"],
    );
    const metric = await data(...full, "--room", "30 m3");
    expectDigits(cylinder.content, metric.cylinder.content, 5);
    expectDigits(room.afterLoss, metric.room.afterLoss, 5);
  });

  test("says when a room gets short of oxygen, and never calls one safe", async () => {
    // 20.95 % (1 - 0.6/(0.6 + 15)) and 20.95 % exp(-V/30) by hand.
    const { room, findings, cautions } = await data(
      ...[...full, "--flow", "10 L/min", "--room", "30 m3", "--air-changes", "0.5"],
    );
    expectDigits(room.settled, 20.95 * (15 / 15.6), 6);
    expect(room.afterLoss).toBeLessThan(14.8);
    expect(findings.map(({ code }: { code: string }) => code)).toContain("room-oxygen-low");
    expect(cautions.join(" ")).toMatch(/suffocates without warning.*oxygen alarm/);
    const { out } = await shell.run("gas", "--room", "300 m3", "--flow", "10 L/min", "--air-changes", "5");
    expect(out).toMatch(/suffocates without warning/);
    expect(out).not.toMatch(/\bsafe\b/);
  });

  test("takes a closed room for granted where no air changes are given", async () => {
    const { room } = await data("gas", "--room", "30 m3", "--flow", "10 L/min");
    expect(room.airChanges).toBe(0.2);
    expectDigits(room.settled, 20.95 * (6 / 6.6), 6);
  });

  test.each([
    [["gas"], /nothing to work out: give --cylinder/],
    [["gas", "--cylinder", "50 L"], /belong together: give --pressure/],
    [["gas", "--pressure", "200 bar"], /belong together: give --cylinder/],
    [[...full, "--for", "20 h"], /--for needs the flow/],
    [["gas", "--for", "20 h"], /--for asks how long a cylinder lasts/],
    [["gas", "--room", "30 m3"], /--room needs what flows into it/],
    [["gas", "--air-changes", "2"], /--air-changes needs the room/],
    [
      ["gas", "--room", "30 m3", "--flow", "10 L/min", "--air-changes", "none"],
      /air changes per hour must be above 0/,
    ],
    [
      ["gas", "--room", "30 m3", "--flow", "10 L/min", "--air-changes", "0"],
      /air changes per hour must be above 0/,
    ],
    [
      ["gas", "--cylinder", "50 L", "--pressure", "2000 bar"],
      /pressure a gauge reads must be at least 0 bar and at most 350 bar/,
    ],
    [["gas", "--cylinder", "50 L", "--pressure=-3 bar"], /pressure a gauge reads must be at least 0 bar/],
    [["gas", "--cylinder", "0 L", "--pressure", "200 bar"], /cylinder volume must be above 0 L/],
    [[...full, "--flow", "0 L/min"], /gas flow must be above 0 L\/min/],
    [[...full, "--temperature", "95 degC"], /cylinder temperature must be .*at most 80 degC/],
    [["gas", "--room", "0 m3", "--flow", "10 L/min"], /room volume must be above 0 m3/],
    [["gas", "--room", "30 mm", "--flow", "10 L/min"], /is a length; a volume is wanted/],
  ])("refuses %j and says what is missing", async (args, told) => {
    expect(await refusal(...args)).toMatch(told);
  });
});

describe("spacing", () => {
  const bead = ["spacing", "--width", "6 mm", "--height", "2 mm"];

  test("takes the level spacing, 0.738 of the width (Ding and others 2015), where none is asked for", async () => {
    const { beads } = await data(...bead);
    expect(beads.level / 6).toBeCloseTo(0.738, 3);
    expect(beads.spacing).toBe(beads.level);
    expect(beads.findings).toEqual([]);
    // Parabola: 2/3 x 6 x 2 = 8 mm2.
    expectDigits(beads.layerHeight, 8 / beads.level, 10);
  });

  test("metal is conserved: a width covered holds that of its beads", async () => {
    const { beads } = await data(...bead, "--across", "50 mm", "--area", "7.2 mm2");
    expectDigits((beads.across.count - 1) * beads.spacing + 6, 50, 10);
    expectDigits(beads.layerHeight * beads.spacing, 7.2, 10);
  });

  test("says when beads climb or do not touch", async () => {
    const codes = async (spacing: string) =>
      (await data(...bead, "--spacing", spacing)).beads.findings.map(({ code }: { code: string }) => code);
    expect(await codes("4 mm")).toEqual(["beads-climb"]);
    expect(await codes("5 mm")).toEqual([]);
    expect(await codes("6.5 mm")).toEqual(["beads-apart"]);
    expect((await data(...bead, "--spacing", "6.5 mm")).beads.overlap).toBeNull();
  });

  test("tells the shape of a wall from its two widths", async () => {
    const { wall } = await data("spacing", "--wall", "5.8 mm", "--clean", "5 mm", "--area", "7.53982 mm2");
    // Sides that bulge like parabolas: mean width 5 + 2/3 x 0.8.
    expectDigits(wall.waviness, 0.4, 9);
    expectDigits(wall.layerHeight, 7.53982 / (5 + 1.6 / 3), 9);
  });

  test.each([
    [["spacing"], /nothing to work out: give --width/],
    [["spacing", "--width", "6 mm"], /need the size of one: give --height/],
    [["spacing", "--across", "50 mm"], /need the size of one: give --width/],
    [["spacing", "--wall", "5.8 mm"], /a wall has two widths: give --clean/],
    [["spacing", "--clean", "5 mm"], /a wall has two widths: give --wall/],
    [[...bead, "--across", "3 mm"], /width to cover must be at least 6 mm/],
    [[...bead, "--spacing", "0 mm"], /bead spacing must be above 0 mm/],
    [["spacing", "--width", "0 mm", "--height", "2 mm"], /width must be above 0 mm/],
    [[...bead, "--area", "8 mm"], /is a length; an? area is wanted/],
  ])("refuses %j and says what is missing", async (args, told) => {
    expect(await refusal(...args)).toMatch(told);
  });
});
