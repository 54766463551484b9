import { copyFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { readmeLines } from "../support/readme-lines.js";
import { commandLine } from "./run.js";

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
  const lines = readmeLines("Your own study in five minutes", "\nStanding in the study's folder");
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
