import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { commandLine } from "./run.js";

describe("answers in the words of the shop", () => {
  const shell = commandLine();
  const csv = [
    "coupon,current [A],travel_speed [mm/min],day,bead_width [mm]",
    ...[0, 1, 2, 3, 4, 5].map(
      (i) => `Z${i},${100 + 10 * i},${150 + 30 * ((i * i) % 4)},${1 + (i % 2)},${5 + 0.3 * i}`,
    ),
  ].join("\n");

  beforeAll(async () => {
    writeFileSync(join(shell.folder, "beads.csv"), csv);
    const made = await shell.run("new", "s", "--from", "beads.csv", "--process", "142", "--wire", "none");
    expect(made.status, made.notes).toBe(0);
    expect((await shell.run("import", "s", "beads.csv")).status).toBe(0);
  });

  test("new names what is lacking alone, and what to write where no wire is fed", async () => {
    const { notes } = await shell.run("new", "t", "--from", "beads.csv", "--process", "142");
    expect(notes).toMatch(/add --wire ER308L --diameter/);
    expect(notes).not.toContain("--process 141");
    expect(notes).toContain("--wire none");
  });

  test("a study without wire is answered throughout, and the wire's part is not made up", async () => {
    for (const command of ["check", "fit", "preset", "report"]) {
      const file = command === "report" ? ["--html", "r.html"] : [];
      const { status, notes } = await shell.run(command, "s", ...file);
      expect(status, `${command}: ${notes}`).toBe(0);
    }
    const asked = await shell.run("physics", "s", "current=120 A", "wire_feed_speed=2 m/min");
    expect(`${asked.out}${asked.notes}`).not.toMatch(/bead_area +\d/);
    const preset = JSON.parse((await shell.run("preset", "s", "--json")).out);
    expect(preset).not.toHaveProperty("wire");
  });

  test("evaluate calls coupons by their names, new ones and those run", async () => {
    const plan = "coupon,current [A],travel_speed [mm/min]\nNEW1,100,150\nNEW2,150,240\n";
    writeFileSync(join(shell.folder, "plan.csv"), plan);
    const { out, notes } = await shell.run("evaluate", "s", "plan.csv", "--model", "linear");
    for (const name of ["NEW1", "NEW2", "Z0", "Z5"]) expect(out, notes).toMatch(new RegExp(`^${name} `, "m"));
  });

  test("a formula fitted to a study with days says that it knows none", async () => {
    const { notes } = await shell.run("fit", "s", "--response", "bead_width", "--formula", "a*current^b");
    expect(notes).toContain("a formula knows no day");
  });

  test("a value computed from another unit prints without the digits of the arithmetic", async () => {
    writeFileSync(
      join(shell.folder, "stick.csv"),
      "current [A],wire_feed_speed [m/min],stickout [mm]\n100,47.2,10\n120,5,12\n",
    );
    const { notes } = await shell.run("stickout", "stick.csv");
    expect(notes).toContain("got 786.7 mm/s");
  });
});
