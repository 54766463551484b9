import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { commandLine } from "./run.js";

const readme = readFileSync(new URL("../../README.md", import.meta.url), "utf8");

/** The lines that a reader who follows one part of the README types, remarks taken off. */
function linesOf(title: string): readonly (readonly string[])[] {
  const part = readme.split(`## ${title}\n`)[1]!.split("\nStanding in the study's folder")[0]!;
  return [...part.matchAll(/^beadbench (.+)$/gm)].map(([, line]) =>
    [...line!.replace(/\s#.*$/, "").matchAll(/"([^"]*)"|(\S+)/g)].map(
      ([, quoted, plain]) => quoted ?? plain!,
    ),
  );
}

test("the five minutes of the README, from a results file to a preset and a report, run as they stand", async () => {
  const shell = commandLine();
  const rows = Array.from({ length: 10 }, (_, i) => {
    const [current, speed, feed] = [120 + 15 * (i % 3), 150 + 25 * (i % 4), 0.9 + 0.1 * ((2 * i) % 3)];
    const width = 5.8 * (current / 135) ** 0.7 * (speed / 175) ** -0.45 * (1 + 0.02 * Math.sin(7 * i));
    const height = (1.9 * (feed * 175)) / (speed * (width / 5.8));
    return [
      `C${String(i + 1).padStart(2, "0")}`,
      current,
      speed,
      feed,
      width.toPrecision(3),
      height.toPrecision(3),
      i === 5 ? "no" : "yes",
    ].join(",");
  });
  writeFileSync(
    join(shell.folder, "my-results.csv"),
    [
      "coupon,current [A],travel_speed [mm/min],wire_feed_speed [m/min],bead_width [mm],bead_height [mm],sound_bead",
      ...rows,
    ].join("\n"),
  );
  const lines = linesOf("Your own study in five minutes");
  expect(lines.map(([command]) => command)).toEqual(
    expect.arrayContaining(["new", "import", "check", "fit", "window", "next", "preset", "report"]),
  );
  for (const line of lines) {
    const { status, notes } = await shell.run(...line);
    expect(status, `${line.join(" ")}: ${notes}`).toBe(0);
  }
  for (const written of ["next.csv", "sheet.html", "preset.json", "report.html"])
    copyFileSync(join(shell.folder, written), join(shell.folder, `${written}.read`));
});
