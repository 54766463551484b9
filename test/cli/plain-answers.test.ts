import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { tigDefinition } from "../support/studies.js";
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
    const { out, notes } = await shell.run("evaluate", "s", "plan.csv", "--model", "linear", "--detail");
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

describe("what a new user stumbled over", () => {
  const shell = commandLine();
  const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);

  test("a slip in JSON is told by line, column and the line itself", async () => {
    put("s.json", '{\n  "name": "x",\n  "seed": 1,\n}\n');
    const { status, notes } = await shell.run("new", "x", "--from", "s.json");
    expect(status).toBe(1);
    expect(notes).toMatch(/s\.json:4, column 1: is not valid JSON: .*; the line reads \}/);
  });

  test("calibration takes the unit of its heading, and says where to write one", async () => {
    const rows = "2026-01-01,100,99\n2026-01-01,200,199\n2026-01-01,300,301\n2026-01-01,400,399\n";
    put("cal.csv", `date,set [mm/min],measured [mm/min]\n${rows}`);
    put("bare.csv", `date,set,measured\n${rows}`);
    expect((await shell.run("calibration", "cal.csv")).out).toMatch(/set 300 mm\/min is really/);
    expect((await shell.run("calibration", "cal.csv", "--unit", "cm/min")).out).toMatch(
      /set 30.0 cm\/min is/,
    );
    expect((await shell.run("calibration", "bare.csv")).notes).toMatch(/head it "set \[m\/min\]".*--unit/);
  });

  test("stickout names the units of its coefficients", async () => {
    put(
      "so.csv",
      "current [A],wire_feed_speed [mm/s],stickout [mm]\n120,40,10\n130,45,11\n140,50,12\n150,56,13\n160,60,11\n170,68,14\n",
    );
    const { out } = await shell.run("stickout", "so.csv");
    expect(out).toMatch(/^alpha .* mm\/\(A s\)$/m);
    expect(out).toMatch(/^beta .* 1\/\(A2 s\)$/m);
    expect(out).toMatch(/Scatter of a reading \S+ mm\/s/);
  });

  test("--dry says that it writes no file, and a plan in blocks shows them", async () => {
    put("two.json", JSON.stringify(tigDefinition({ blocks: ["day"] })));
    await shell.run("new", "two", "--from", "two.json");
    const plan = [
      "plan",
      "two",
      "--design",
      "optimal",
      "--coupons",
      "8",
      "--model",
      "linear",
      "--blocks",
      "2",
    ];
    const { out, notes } = await shell.run(...plan, "--dry", "--csv", "p.csv");
    expect(notes).toContain("--dry writes nothing, p.csv neither");
    expect(existsSync(join(shell.folder, "p.csv"))).toBe(false);
    expect(out).toMatch(/ day +gives dimensions +role/);
    expect(out.match(/ [12] +\d+ % +(optimal|repeat)/g)!.length).toBe(8);
  });

  test("a small optimal plan does not spend its coupons on repeats", async () => {
    await shell.run("new", "small", "--from", "two.json");
    const few = [
      "plan",
      "small",
      "--design",
      "optimal",
      "--coupons",
      "4",
      "--model",
      "linear",
      "--dry",
      "--json",
    ];
    const { runs } = JSON.parse((await shell.run(...few)).out);
    const settings = runs.map((run: { settings: unknown }) => JSON.stringify(run.settings));
    expect(new Set(settings).size).toBe(4);
  });
});
