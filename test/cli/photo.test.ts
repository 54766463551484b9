import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { openStudy } from "../../lib/study/index.js";
import { exampleDefinition } from "../study/support.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
type Pixel = (x: number, y: number) => readonly [number, number];
/** A camera that looks at the plate, in mm, square on or tilted: a pinhole, so that straight lines stay straight. */
const square: Pixel = (x, y) => [100 + 20 * x, 80 + 20 * y];
const tilted: Pixel = (x, y) => {
  const w = 1 + 0.004 * x + 0.002 * y;
  return [(100 + 22 * x + y) / w, (60 + 21 * y) / w];
};
const marks = (
  coupon: string,
  mark: string,
  at: Pixel,
  points: readonly (readonly [number, number])[],
): string => points.map(([x, y]) => `${coupon},${mark},${at(x, y).join(",")}\n`).join("");
/** A bead 5.5 mm wide along x, from 10 to 60 mm. */
const bead = (coupon: string, at: Pixel): string =>
  marks(coupon, "left", at, [
    [10, 10],
    [35, 10],
    [60, 10],
  ]) +
  marks(coupon, "right", at, [
    [10, 15.5],
    [35, 15.5],
    [60, 15.5],
  ]);
const header = "coupon,mark,x [px],y [px]\n";

test("photo reads a bead's width by a length or a rectangle of the picture, and logs it", async () => {
  put("study.json", JSON.stringify(exampleDefinition));
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
    "square.csv",
    header +
      marks("P1", "scale", square, [
        [0, 0],
        [50, 0],
      ]) +
      bead("P1", square),
  );
  put(
    "tilted.csv",
    header +
      marks("P2", "corner", tilted, [
        [0, 0],
        [80, 0],
        [80, 30],
        [0, 30],
      ]) +
      bead("P2", tilted),
  );
  const one = await shell.run("photo", "beads", "square.csv", "--length", "50 mm");
  expect(one.status, one.notes).toBe(0);
  const two = await shell.run("photo", "beads", "tilted.csv", "--width", "80 mm", "--height", "3 cm");
  expect(two.status, two.notes).toBe(0);
  for (const { results } of openStudy(join(shell.folder, "beads")).coupons) {
    const width = results.bead_width;
    const readings = width?.kind === "measured" ? (width.scatter?.readings ?? []) : [];
    expect(readings).toHaveLength(5);
    for (const reading of readings) expect(Math.abs(reading - 5.5)).toBeLessThan(1e-6);
  }
});

test.each([
  ["square.csv", ["--width", "80 mm"], /mark two points scale and give --length, or four points corner/],
  ["odd.csv", ["--length", "50 mm"], /odd\.csv:2, "mark": must be one of scale, .*got "edge"/],
  ["stranger.csv", ["--length", "50 mm"], /there is no coupon Q9 in the study; log it first/],
  ["area.csv", ["--length", "50 mm"], /the study measures no area; add a response/],
])("photo refuses %s %j whole", async (file, options, told) => {
  put("odd.csv", `${header}P1,edge,1,2\n`);
  put(
    "stranger.csv",
    header +
      marks("Q9", "scale", square, [
        [0, 0],
        [50, 0],
      ]) +
      bead("Q9", square),
  );
  put(
    "area.csv",
    header +
      marks("P1", "scale", square, [
        [0, 0],
        [50, 0],
      ]) +
      marks("P1", "outline", square, [
        [0, 0],
        [5, 0],
        [2, 3],
      ]),
  );
  const before = openStudy(join(shell.folder, "beads")).entries.length;
  const { status, notes } = await shell.run("photo", "beads", file, ...options);
  expect(status).toBe(1);
  expect(notes).toMatch(told);
  expect(openStudy(join(shell.folder, "beads")).entries).toHaveLength(before);
});
