import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { openStudy } from "../../lib/study/index.js";
import { exampleDefinition } from "../study/support.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);

/** Points of a bead 6 mm wide and 2 mm high on a tilted base. */
function points(coupon: string, section: string, top: (x: number) => number): string {
  return Array.from({ length: 51 }, (_, i) => (i - 25) * 0.2)
    .map((x) => `${coupon},${section},${x},${(Math.abs(x) < 3 ? top(x) : 0) + 0.03 * x}\n`)
    .join("");
}
// physics.md section 3, CHK: parabola area 8, toe 53.13 deg; circular arc R 3.25, area 8.67155, toe 67.38 deg.
const parabola = (x: number): number => 2 * (1 - (x / 3) ** 2);
const arc = (x: number): number => Math.sqrt(3.25 ** 2 - x ** 2) - 1.25;

describe("profiles", () => {
  test("of sections go to their coupons, a reading each, in the study's units", async () => {
    put(
      "study.json",
      JSON.stringify({
        ...exampleDefinition,
        responses: [
          { name: "bead_width", unit: "mm" },
          { name: "bead_height", unit: "in" },
          { name: "bead_area", unit: "mm2" },
          { name: "left_toe_angle", unit: "deg" },
          { name: "looks", kind: "grade" },
        ],
      }),
    );
    await shell.run("new", "beads", "--from", "study.json");
    for (const id of ["P1", "P2"])
      await shell.run(
        "log",
        "beads",
        id,
        "current=120",
        "travel_speed=100",
        "wire_feed_speed=1000",
        "cup=small",
      );
    put(
      "points.csv",
      `coupon,section,x [mm],z [mm]\n${points("P1", "a", parabola)}${points("P1", "b", arc)}${points("P2", "", parabola)}`,
    );
    const dry = await shell.run("profiles", "beads", "points.csv", "--dry");
    expect(dry.status, dry.notes).toBe(0);
    expect(openStudy(join(shell.folder, "beads")).entries).toHaveLength(2);
    const ran = await shell.run("profiles", "beads", "points.csv");
    expect(ran.out).toMatch(/3 sections of 2 coupons logged/);
    const { coupons } = openStudy(join(shell.folder, "beads"));
    const readings = (name: string): readonly number[] => {
      const result = coupons[0]!.results[name];
      return result?.kind === "measured" ? (result.scatter?.readings ?? []) : [];
    };
    const near = (found: readonly number[], wanted: readonly number[], share: number): void => {
      expect(found).toHaveLength(wanted.length);
      for (const [i, value] of found.entries()) expect(Math.abs(value / wanted[i]! - 1)).toBeLessThan(share);
    };
    near(readings("bead_width"), [6, 6], 0.01);
    near(
      readings("bead_height").map((inches) => inches * 25.4),
      [2, 2],
      0.01,
    );
    near(readings("bead_area"), [8, 8.67155], 0.01);
    near(readings("left_toe_angle"), [53.13, 67.38], 0.03);
    expect(coupons[1]!.results.bead_width).toMatchObject({ kind: "measured" });
  });

  test("with one coupon or section that is not sound log nothing, and say which", async () => {
    const before = openStudy(join(shell.folder, "beads")).entries.length;
    put(
      "few.csv",
      `coupon,section,x [mm],z [mm]\n${points("P1", "a", parabola)}P2,b,0,1\nP2,b,1,2\nP9,a,0,0\n`,
    );
    const { status, notes } = await shell.run("profiles", "beads", "few.csv");
    expect(status).toBe(1);
    expect(notes).toMatch(
      /few\.csv:53: coupon P2, section b: .*\n.*few\.csv:55, "coupon": no coupon of the study is called so.*"P9"/,
    );
    expect(openStudy(join(shell.folder, "beads")).entries).toHaveLength(before);
  });

  test("along a wall give height, rise and waviness by layer, whatever the spacing of the points", async () => {
    // Layer n has 1.5 n mm on average over whole waves of 10 mm; humps of 3 mm at both ends, which do not count.
    const xs = Array.from({ length: 400 }, (_, i) => 120 * (i / 399) ** 1.3);
    const z = (layer: number, x: number): number =>
      1.5 * layer + 0.2 * Math.sin((2 * Math.PI * x) / 10) + (x < 15 || x > 105 ? 3 : 0);
    put(
      "wall.csv",
      `layer,x [mm],z [mm]\n${[1, 2, 4].flatMap((layer) => xs.map((x) => `${layer},${x},${z(layer, x)}\n`)).join("")}`,
    );
    const { status, out, notes } = await shell.run(
      "profiles",
      "beads",
      "wall.csv",
      "--wall",
      "--ends",
      "20 mm",
      "--csv",
      "layers.csv",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { layers } = JSON.parse(out) as { layers: { height: number; rise?: number; waviness: number }[] };
    for (const [i, height] of [1.5, 3, 6].entries())
      expect(Math.abs(layers[i]!.height - height)).toBeLessThan(2e-3);
    expect(layers.map(({ rise }) => rise === undefined)).toEqual([true, false, false]);
    for (const { rise } of layers.slice(1)) expect(Math.abs(rise! - 1.5)).toBeLessThan(2e-3);
    // The mean square of a sine of amplitude 0.2 is 0.02.
    for (const { waviness } of layers) expect(Math.abs(waviness - Math.sqrt(0.02))).toBeLessThan(2e-3);
    const log = await shell.run("standoff", "layers.csv", "--gauge-sd", "0.05 mm");
    expect(log.notes).not.toMatch(/layers\.csv:1/);
    expect(readFileSync(join(shell.folder, "layers.csv"), "utf8").split("\n")[0]).toBe(
      "layer,rise [mm],height [mm]",
    );
    const short = await shell.run("profiles", "beads", "wall.csv", "--wall", "--ends", "70 mm");
    expect(short.notes).toMatch(/profile of layer 1 is no longer than its two ends/);
  });
});
