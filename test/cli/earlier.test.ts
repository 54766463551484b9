import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { createStudy } from "../../lib/study/index.js";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const said = "150 A, 180 mm/min, 1.1 m/min, good";
beforeAll(() => {
  createStudy(join(shell.folder, "bare"), tigDefinition());
  createStudy(join(shell.folder, "told"), tigDefinition({ known: [said] }));
  createStudy(join(shell.folder, "tried"), tigDefinition());
  writeFileSync(
    join(shell.folder, "paper.csv"),
    "# source: invented for this test, page 3\n# travel_speed = 180 mm/min\ncurrent [A],wire_feed_speed [m/min],bead_width [mm],bead_height [mm]\n140,1.1,5.6,1.8\n160,1.2,6.1,1.9\n",
  );
});

interface Answer {
  readonly findings: readonly { readonly code: string; readonly message: string }[];
  readonly best: { readonly chance: number };
}

async function ask(...words: readonly string[]): Promise<Answer> {
  const { status, out, notes } = await shell.run(...words, "--json");
  expect(status, notes).toBe(0);
  return JSON.parse(out) as Answer;
}

describe("what is known before the first coupon", { timeout: 60_000 }, () => {
  let bare: Answer;
  let kept: Answer;
  beforeAll(async () => {
    bare = await ask("next", "bare", "--dry");
    kept = await ask("next", "told", "--dry");
  }, 60_000);

  test("a setting kept in study.json raises what is claimed and stands in the answer; told to plan it is the same", async () => {
    expect(kept.best.chance).toBeGreaterThan(1.3 * bare.best.chance);
    expect(kept.findings).toContainEqual(
      expect.objectContaining({ message: expect.stringContaining("current 150 A") }),
    );
    expect(await ask("plan", "bare", "--coupons", "3", "--dry", "--like", said)).toEqual(kept);
  });

  test("window takes several", async () => {
    const { findings } = await ask("window", "bare", "--like", said, "--like", "120 A, 2 m/min, poor");
    expect(findings.filter(({ code }) => code === "known-setting")).toHaveLength(2);
  });

  test("a free trial, logged and never planned, counts as a coupon", async () => {
    const trial = ["current=150", "travel=180", "wfs=1.1", "width=5.9", "height=1.9", "sound"];
    expect((await shell.run("log", "tried", "T1", ...trial)).status).toBe(0);
    const { best } = await ask("next", "tried", "--dry");
    expect(best.chance).toBeGreaterThan(kept.best.chance);
  });

  test("a published table is an older study, named with its source", async () => {
    const { findings, best } = await ask("next", "bare", "--dry", "--older", "paper.csv");
    expect(best.chance).toBeGreaterThan(bare.best.chance);
    expect(findings).toContainEqual(
      expect.objectContaining({
        code: "published-table",
        message: expect.stringContaining("2 beads of paper.csv, invented for this test, page 3"),
      }),
    );
  });

  test.each([
    [["--like", "fast, good"], /--like "fast, good" "fast" names neither a setting nor how it ran/],
    [["--older", "none.csv"], /cannot read none.csv/],
  ])("next %j is refused", async (words, told) => {
    const { status, notes } = await shell.run("next", "bare", "--dry", ...words);
    expect(status).toBe(1);
    expect(notes).toMatch(told);
  });
});
