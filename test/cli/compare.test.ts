import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { appendEntries, createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

describe("compare", () => {
  const shell = commandLine();
  const file = (name: string): string => readFileSync(join(shell.folder, name), "utf8");
  beforeAll(async () => {
    createDemoStudy(join(shell.folder, "rings"));
    createDemoStudy(join(shell.folder, "twins"));
    writeFileSync(
      join(shell.folder, "beads.csv"),
      [
        'coupon,current [A],"constructor",bead_width [mm]',
        ...Array.from({ length: 16 }, (_, i) =>
          [
            `C${i}`,
            120 + 10 * (i % 4),
            i < 8 ? "__proto__" : "naïve",
            5 + 0.25 * (i % 4) + (i < 8 ? 0 : 0.5) + 0.02 * Math.sin(7 * i),
          ].join(","),
        ),
      ].join("\n"),
    );
    await shell.run(
      "new",
      "welds",
      "--from",
      "beads.csv",
      "--process",
      "141",
      "--wire",
      "ER308L",
      "--diameter",
      "1.2 mm",
      "--blocks",
      "constructor",
    );
    await shell.run("import", "welds", "beads.csv");
    await shell.run("preset", "rings", "--json", "old.json");
  }, 120_000);

  test("tells two blocks of any name apart, by how much, and that nothing is asked for", async () => {
    const { status, out, notes } = await shell.run("compare", "welds", "constructor=__proto__,naïve");
    expect(status, notes).toBe(0);
    expect(out).toMatch(/^Constructor naïve differs from constructor __proto__ in bead width\./);
    expect(out).toMatch(/Bead width: 0\.\d+ mm more on constructor naïve \(0\.4\d* to 0\.5\d* mm/);
    expect(out.replace(/\s+/g, " ")).toContain(
      "The study asks nothing of it, so whether that matters is not said",
    );
    expect((await shell.run("compare", "welds", "constructor")).out).toBe(out);
  });

  test("of two days says what is settled and what is not, with its picture", async () => {
    const { status, out } = await shell.run(
      "compare",
      "rings",
      "day=1",
      "day=4",
      "--svg",
      "days.svg",
      "--detail",
    );
    expect(status).toBe(0);
    expect(out).toMatch(/Not settled: bead width, bead height/);
    expect(out).toMatch(/bead width \[mm\] +\d+ \+ 10 /);
    expect(file("days.svg")).toMatch(/^<svg .*Differences of 4 from 1 at equal settings/);
    const { what, a, b, looks } = JSON.parse((await shell.run("compare", "rings", "day=1,4", "--json")).out);
    expect([what, a, b, looks]).toEqual(["day", "1", "4", 4]);
  });

  test("names a coupon that is likely a slip, and what it is without it", async () => {
    const study = createDemoStudy(join(shell.folder, "slips"));
    const { settings, blocks } = study.coupons.find(({ id }) => id === "C036")!;
    appendEntries(study, [
      {
        kind: "logged",
        coupon: "C041",
        values: { ...settings, ...blocks, bead_width: 7.1, bead_height: 2.2 },
      },
    ]);
    const { out } = await shell.run("compare", "slips", "day=1,4");
    expect(out.replace(/\s+/g, " ")).toMatch(
      /counted in full here:.* C041 \(chance \d+ %\).*--without .*C041/,
    );
    const sound = await shell.run("compare", "slips", "day=1,4", "--without", "C041");
    expect(sound.out).not.toContain("C041");
    const studies = (await shell.run("compare", "rings", "slips")).out.replace(/\s+/g, " ");
    expect(studies).toMatch(
      /in slips, yet counted in full here:.* C041 \(chance \d+ %\).*mend the record there/,
    );
    expect(studies).not.toMatch(/in rings, yet counted in full here:.* C041/);
  });

  test("holds coupons before and after a change against each other", async () => {
    const { status, out } = await shell.run("compare", "rings", "--change", "tungsten");
    expect(status).toBe(0);
    expect(out).toMatch(/before the change of tungsten \d+ coupons, after it \d+ coupons/);
  });

  test("of a study and its twin says that they are one", async () => {
    const { status, out } = await shell.run("compare", "rings", "twins", "--svg", "twins.svg");
    expect(status).toBe(0);
    expect(out).toMatch(/^No difference between rings and twins is told/);
    expect(out).toMatch(/this compares a study with itself/);
    expect(file("twins.svg")).toContain("change for 1 % more of a setting");
    const here = commandLine(join(shell.folder, "twins"));
    expect((await here.run("compare", "../rings")).out).toMatch(/^No difference between twins and rings/);
  });

  test("of another process shows how the two are set up, and refuses the rest", async () => {
    createDemoStudy(join(shell.folder, "mag"), () => false);
    const path = join(shell.folder, "mag", "study.json");
    writeFileSync(path, JSON.stringify({ ...JSON.parse(readFileSync(path, "utf8")), process: "135" }));
    const { status, out } = await shell.run("compare", "rings", "mag");
    expect(status).toBe(0);
    expect(out).toMatch(/^Results of rings and mag do not compare at equal settings/);
    expect(out).toMatch(/process +141 +135/);
  });

  test("holds an older preset against today's, and two presets without a study", async () => {
    const preset = JSON.parse(file("old.json"));
    const hotter = preset.settings.map((setting: { name: string; value: number }) =>
      setting.name === "current" ? { ...setting, value: setting.value + 20 } : setting,
    );
    writeFileSync(join(shell.folder, "hot.json"), JSON.stringify({ ...preset, settings: hotter }));
    const now = await shell.run("compare", "rings", "hot.json", "--svg", "presets.svg");
    expect(now.status, now.notes).toBe(0);
    expect(now.out).toMatch(/^Now gives other beads than hot: bead width 0\.\d+ mm less/);
    expect(now.out).toMatch(/Chance that now is the better: \d+ %/);
    expect(file("presets.svg")).toContain("Chance to conform (%)");
    const own = await shell.run("compare", "old.json", "hot.json");
    expect(own.out).toMatch(/Each as it judged itself/);
    expect(own.out).toMatch(/current \[A\] .* more/);
  });

  test.each([
    [["rings"], /compare with what\? name two levels of a block/],
    [["rings", "day=4,4"], /name two different of day/],
    [["rings", "day=1", "cylinder=2"], /"cylinder=2" is not of the same block as "day=1"/],
    [["rings", "day=1,9"], /no coupon was logged with day 9; coupons have 1, 2, 3, 4/],
    [["rings", "__proto__"], /"__proto__" is no block of this study/],
    [["rings", "nowhere.json"], /cannot read nowhere\.json/],
    [["rings", "old.json", "old.json", "old.json"], /"old\.json": name two levels/],
    [["nowhere", "day=1,4"], /there is no study in nowhere/],
    [["rings", "twins", "--without", "C001"], /--without is for one study/],
    [["rings", "--change", "tungstn"], /no change of tungstn was logged; did you mean "tungsten"\?/],
    [["rings", "day=1,4", "--without", "C999"], /no coupon called C999/],
  ])("%j is told how to ask", async (args, told) => {
    const { status, out, notes } = await shell.run("compare", ...args);
    expect([status, out]).toEqual([1, ""]);
    expect(notes).toMatch(told);
  });

  test("an empty study has nothing to compare, and says so", async () => {
    await shell.run("new", "empty", "--from", "rings/study.json");
    expect((await shell.run("compare", "empty", "day=1,2")).notes).toMatch(
      /no coupon was logged with day 1; no coupon names one/,
    );
    const { status, out } = await shell.run("compare", "rings", "empty");
    expect(status).toBe(0);
    expect(out).toMatch(/nothing can be compared yet/);
  });
});
