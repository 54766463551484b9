import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

const shell = commandLine();

test("next says that the physics assumed does not fit a rig whose beads are three times as large", async () => {
  writeFileSync(join(shell.folder, "from.json"), JSON.stringify(tigDefinition()));
  await shell.run("new", "large", "--from", "from.json");
  const rows = Array.from({ length: 12 }, (_, i) => {
    const [current, travel, feed] = [110 + 7 * (i % 12), 110 + ((i * 53) % 180), 0.7 + ((i * 0.37) % 1.2)];
    const width = 18 * (current / 141) ** 0.8 * (travel / 173) ** -0.5;
    const height = (9 * 1.131 * feed * 1000) / travel / (0.7 * width);
    return `C${i},${current},${travel},${feed.toPrecision(3)},${width.toPrecision(3)},${height.toPrecision(3)},pass`;
  });
  const head =
    "coupon,current [A],travel_speed [mm/min],wire_feed_speed [m/min],bead_width [mm],bead_height [mm],sound_bead";
  writeFileSync(join(shell.folder, "large.csv"), `${[head, ...rows].join("\n")}\n`);
  await shell.run("import", "large", "large.csv");
  const { status, out, notes } = await shell.run("next", "large", "--coupons", "1", "--dry");
  expect(status, notes).toBe(0);
  const text = out.replace(/\s+/g, " ");
  expect(text).toMatch(
    /the physics assumed does not fit this rig: what came out was very unlikely by it, .*bead height/,
  );
  expect(text).toMatch(
    /It is doubted \d times as much from here on, so that chances rest on your own coupons/,
  );
}, 60_000);

test("and says nothing of the kind on the demo study", async () => {
  createDemoStudy(join(shell.folder, "rings"));
  const { out } = await shell.run("next", "rings", "--coupons", "1", "--dry");
  expect(out).not.toMatch(/physics assumed/);
}, 60_000);
