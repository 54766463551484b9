import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { checkStudy } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { composeStudyReport } from "../../lib/report/index.js";
import { openStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

/** Beads of an invented rig, narrower by a share: eight on first layers, ten on a wall, three of these mostly the same. */
function readings(share: number): string {
  const noise = randomStream(11);
  const rows = Array.from({ length: 18 }, (_, i) => {
    const current = 120 + 10 * ((i * 3) % 5);
    const travel = 140 + 20 * ((i * 2) % 4);
    const width =
      5.5 * share * (current / 140) ** 0.7 * (travel / 170) ** -0.4 * Math.exp(0.02 * noise.normal());
    return `C${i + 1},${i >= 8 ? 4 : 1},${i % 3},${current},${travel},${width.toFixed(2)}`;
  });
  return `coupon,layer,day,current [A],travel_speed [mm/min],bead_width [mm]\n${rows.join("\n")}\n`;
}

describe("draw", () => {
  const shell = commandLine();
  beforeAll(async () => {
    for (const [study, share] of [
      ["ring", 1],
      ["old", 0.7],
    ] as const) {
      writeFileSync(join(shell.folder, `${study}.csv`), readings(share));
      const made = await shell.run(
        ...[
          "new",
          study,
          "--from",
          `${study}.csv`,
          "--process",
          "141",
          "--wire",
          "ER308L",
          "--diameter",
          "1.2 mm",
        ],
        ...["--want", "bead_width 5 to 6 mm"],
      );
      expect(made.status, made.notes).toBe(0);
      await shell.run("import", study, `${study}.csv`);
    }
  });
  const drawn = async (...args: readonly string[]) => {
    const { out, status, notes } = await shell.run("draw", "ring", ...args, "--json");
    expect(status, notes).toBe(0);
    return { text: out, description: JSON.parse(out).description as string };
  };

  test("marks who is left out in the timeline, and leaves them out of coverage and of the fit", async () => {
    expect((await drawn("timeline")).description).not.toContain("left out");
    expect((await drawn("timeline", "--without", "C9,C10")).description).toContain("2 left out");
    // Coupons at each place are counted in the rows of each pair of settings.
    const shown = async (...args: readonly string[]) =>
      (await drawn("coverage", ...args)).text
        .match(/"coupons": ?\d+/g)!
        .reduce((sum, row) => sum + Number(/\d+/.exec(row)), 0);
    const all = await shown();
    expect(all).toBeGreaterThan(0);
    expect((await shown("--without", "C9,C10")) / all).toBe(16 / 18);
    expect((await drawn("predicted")).description).toContain("of 10 coupons");
    expect((await drawn("predicted", "--without", "C9,C10")).description).toContain("of 8 coupons");
  });

  test("takes the layers asked for", async () => {
    expect((await drawn("predicted", "--layers", "first")).description).toContain("of 8 coupons");
    expect((await drawn("predicted", "--layers", "wall")).description).toContain("of 10 coupons");
  });

  test("draws the chance by what an older study says as well", async () => {
    const own = await drawn("profiles");
    const older = await drawn("profiles", "--older", "old");
    expect(older.text).not.toBe(own.text);
  });

  test.each([
    [["--without", "Q9"], /no coupon called Q9/],
    [["--layers", "middle"], /middle/],
    [["--older", "nowhere"], /nowhere/],
    [["--like", "fast, good"], /fast/],
    [["--width", "10"], /240/],
  ])("%j is refused by its name", async (args, why) => {
    const { status, notes } = await shell.run("draw", "ring", "profiles", ...args, "--svg", "never.svg");
    expect(status).toBe(1);
    expect(notes).toMatch(why);
  });

  test("a report says who was left out, where it speaks of the rest and beside what is drawn of them", () => {
    const study = openStudy(join(shell.folder, "ring"));
    const without = ["C9", "C10"];
    const { sections } = composeStudyReport({ study, check: checkStudy(study), without, remarks: [] });
    const said = (heading: string) => sections.find((section) => section.heading === heading)!;
    for (const heading of ["At a glance", "Where coupons were run"])
      expect(said(heading).basis).toContain("Left out of fit, model and window, as asked: C9, C10;");
    expect(said("At a glance").charts![0]!.spec.description).toContain("2 left out");
    expect(
      composeStudyReport({ study, check: checkStudy(study), remarks: [] }).sections[0]!.basis,
    ).not.toContain("as asked");
  });
});
