import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

/** A study in its folder, of current, travel speed, wire feed and tip distance. */
async function started() {
  const shell = commandLine();
  const definition = tigDefinition({
    process: "135",
    factors: [
      { name: "current", unit: "A", low: 100, high: 200 },
      { name: "contact_tip_distance", unit: "mm", low: 5, high: 26 },
    ],
  });
  writeFileSync(join(shell.folder, "d.json"), JSON.stringify(definition));
  expect((await shell.run("new", "beads", "--from", "d.json")).status).toBe(0);
  return shell;
}

const settings = ["current=150A", "contact_tip_distance=15mm"];

describe("log", () => {
  test("refuses a size below 0", async () => {
    const shell = await started();
    const { status, notes } = await shell.run("log", "beads", "K1", ...settings, "bead_width=-6mm");
    expect(status).toBe(1);
    expect(notes).toContain("bead_width cannot be below 0, got -6; check the sign");
  });

  test("warns of a size unlike its repeats with the command that mends it, and the command does", async () => {
    const shell = await started();
    await shell.run("log", "beads", "K1", ...settings, "bead_width=6.1mm");
    const { status, notes } = await shell.run("log", "beads", "K2", ...settings, "bead_width=60mm");
    expect(status).toBe(0);
    expect(notes).toMatch(/Mind, K2: bead_width 60\.0 mm is far from what its repeats show, 6\.10 mm/);
    expect(notes).toContain('beadbench log beads K2 --correct bead_width="6 mm" --why "mistyped"');
    const mended = await shell.run("log", "beads", "K2", "--correct", "bead_width=6 mm", "--why", "mistyped");
    expect(mended).toMatchObject({ status: 0, notes: "" });
    expect((await shell.run("check", "beads")).status).toBe(0);
  });

  test("says nothing of a plain bead", async () => {
    const shell = await started();
    expect((await shell.run("log", "beads", "K1", ...settings, "bead_width=6.1mm")).notes).toBe("");
  });
});

describe("status", () => {
  test("calls the study by its folder, and keeps the command to log by beside the words that ask for it", async () => {
    const shell = await started();
    await shell.run("log", "beads", "K1", ...settings, "bead_width=6.1mm");
    await shell.run("log", "beads", "K2", ...settings, "bead_width=60mm");
    await shell.run("next", "beads", "--coupons", "1");
    const said = (await shell.run("status", "beads")).out.replace(/\s+/g, " ");
    expect(said).toMatch(/^test study \(folder beads\): 2 coupons logged/);
    expect(said).toMatch(/2 coupons logged so far look odd: .* says why\. Then log it: beadbench log beads /);
    await shell.run("log", "beads", "K2", "--correct", "bead_width=6.2 mm", "--why", "mistyped");
    await shell.run("log", "beads", "K3", "current=150A", "contact_tip_distance=90mm", "bead_width=6.1mm");
    expect((await shell.run("status", "beads")).out.replace(/\s+/g, " ")).toContain(
      "1 coupon logged so far looks odd:",
    );
  });
});

describe("import", () => {
  test("says once that a column lies outside the study's range, and in which unit it would not", async () => {
    const shell = await started();
    const rows = Array.from({ length: 8 }, (_, i) => `T${i},${110 + 10 * i},${8 + 2 * i},${5 + 0.2 * i}`);
    const csv = `coupon,current [A],contact_tip_distance [in],bead_width [mm]\n${rows.join("\n")}\n`;
    const { status, notes } = await shell.pipe(csv, "import", "beads", "-");
    expect(status).toBe(0);
    expect(notes).toMatch(
      /Mind, T0: contact_tip_distance 203\.2 mm lies outside the study's 5 to 26 mm; 8 mm would lie within/,
    );
    expect(notes).toContain("and 7 other coupons alike");
    const check = await shell.run("check", "beads");
    expect(check.status).toBe(1);
    expect(check.out.replace(/\s+/g, " ")).toContain(
      "contact_tip_distance is stated in in but looks like mm on all coupons",
    );
    expect(check.out.match(/^\[!!\]/gm)).toHaveLength(1);
  });
});

describe("new refuses early", () => {
  test.each([
    [
      { factors: [{ name: "wire_feed_speed", unit: "mm", low: 3, high: 8 }] },
      /unit mm is a length; a speed is wanted/,
    ],
    [
      { factors: [{ name: "wire_feed_speed", unit: "mm/min", low: 3, high: 8 }] },
      /3 to 8 mm\/min: no rig of process 141 runs there, .* in .*m\/min.* it would be usual; check the unit/,
    ],
    [
      { limits: [{ quantity: "arc_enrgy", unit: "kJ/mm", max: 1 }] },
      /limit on "arc_enrgy": no such quantity is known; did you mean "arc_energy"\?/,
    ],
    [
      { limits: [{ quantity: "arc_energy", unit: "mm", max: 1 }] },
      /unit mm is a length; a line energy is wanted/,
    ],
  ])("%j", async (parts, told) => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "d.json"), JSON.stringify({ ...tigDefinition(), ...parts }));
    const { status, notes } = await shell.run("new", "beads", "--from", "d.json");
    expect(status).toBe(1);
    expect(notes).toMatch(told);
  });
});
