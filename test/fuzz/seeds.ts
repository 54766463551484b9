import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { makePreset } from "../../lib/presets/index.js";
import { openStudy } from "../../lib/study/index.js";
import type { Recommendation } from "../../lib/window/index.js";
import { commandLine } from "../cli/run.js";
import { couponsText, photoHeads, plainText, rounded, studyText, table } from "./seed-texts.js";

/** Contents of files by their path. */
export type Files = Readonly<Record<string, string | Uint8Array>>;

/** Every file below a folder by its path with slashes. */
export const filesOf = (folder: string): Files =>
  Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name))
      .map((path) => [path.slice(folder.length + 1).replaceAll("\\", "/"), readFileSync(path)]),
  );

export function writeFiles(folder: string, files: Files): void {
  for (const [name, content] of Object.entries(files)) {
    const path = join(folder, name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, content);
  }
}

/** What every input starts from: two studies with a record, and the files that commands made of them. */
export interface Seeds {
  readonly files: Files;
  /** Where a trial finds them. */
  readonly folder: string;
  readonly preset: string;
  readonly shared: string;
  readonly schedule: string;
  readonly plan: string;
  readonly journal: string;
}

const made = new Date("2026-04-01T10:00:00Z");
/** What a fit of the full study might recommend. */
const recommendation: Recommendation = {
  settings: [
    { factor: "current", value: 130, unit: "A" },
    { factor: "travel_speed", value: 120, unit: "mm/min" },
    { factor: "wire_feed_speed", value: 0.9, unit: "m/min" },
    { factor: "cup", value: "no_8", unit: "1" },
  ],
  predicted: [
    { response: "bead_width", unit: "mm", median: 5.9, lower: 5.4, upper: 6.5, chance: 0.97 },
    { response: "bead_height", unit: "mm", median: 2, lower: 1.7, upper: 2.4, chance: 0.99 },
  ],
  conformance: {
    chance: 0.94,
    sd: 0.02,
    interval: [0.88, 0.97],
    dimensions: 0.96,
    perResponse: { bead_width: 0.97, bead_height: 0.99 },
    perCheck: { sound_bead: 0.98, spatter: 0.98 },
  },
  ranges: [
    { factor: "current", unit: "A", best: 130, low: 125, high: 135, aloneLow: 120, aloneHigh: 145 },
    { factor: "travel_speed", unit: "mm/min", best: 120, low: 110, high: 130, aloneLow: 100, aloneHigh: 140 },
  ],
  asked: 0.9,
  level: 0.9,
  reached: 0.91,
  coupons: 12,
  seed: 7,
  findings: [{ code: "near-edge", severity: "warning", message: "near the edge", about: ["current"] }],
};

/** Deep enough that names which climb out of their folder stay below the root. */
export const placeIn = (root: string): string => join(root, "a", "b", "c", "d", "e", "place");

/** Makes the seeds below a root, in the folder where they are tried, and leaves it empty. */
export async function makeSeeds(root: string): Promise<Seeds> {
  const folder = placeIn(root);
  rmSync(root, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const shell = commandLine(folder);
  const run = async (...words: readonly string[]): Promise<void> => {
    const { status, notes } = await shell.run(...words);
    if (status !== 0) throw new Error(`${words.join(" ")}: ${notes}`);
  };
  writeFiles(folder, {
    "d.json": studyText,
    "p.json": plainText,
    "r.csv": couponsText,
    "photo.png": photoHeads[1]!,
  });
  await run("new", "full", "--from", "d.json");
  await run("new", "empty", "--from", "d.json");
  await run("import", "full", "r.csv");
  await run("log", "full", "C2", "bead_height=1.95 mm", "--correct", "--why", "misread");
  await run("log", "full", "C9", "--void", "--why", "wrong plate");
  await run("log", "full", "--attach", "photo.png");
  await run("incident", "full", "wire_stuck", "--coupon", "C4", "--lost", "5 min", "--cause", "kinked liner");
  await run("log", "full", "--change", "tungsten", "--life", "8 h");
  await run("plan", "full", "--coupons", "4", "--design", "sobol", "--survival", "off");
  await run("new", "plain", "--from", "p.json");
  writeFiles(folder, {
    "r.csv": table("coupon,current [A],travel_speed [mm/s],bead_width [mm]", 8, (i) => [
      `P${i}`,
      95 + 10 * i,
      3 + ((i * 5) % 7),
      rounded(5 + 0.2 * i - 0.1 * ((i * 5) % 7)),
    ]),
  });
  await run("import", "plain", "r.csv");
  // As a fit would, but at once.
  const preset = JSON.stringify(makePreset(openStudy(join(folder, "full")), recommendation, made));
  writeFiles(folder, { "preset.json": preset });
  await run("share", "full", "--to", "share.json");
  const build = ["--length", "120 mm", "--layers", "20"];
  const wall = await shell.run("wall", "full", "--preset", "preset.json", ...build, "--json");
  if (wall.status !== 0) throw new Error(wall.notes);
  await run("forecast", "full", "--preset", "preset.json", ...build, "--plan", "plan.json");
  await run("build", "full", "ring-1", "--start", "--plan", "plan.json");
  await run("build", "full", "ring-1", "standoff=3.1 mm", "--layer", "4");
  const found = filesOf(folder);
  const text = (name: string): string => String(found[name]);
  for (const name of readdirSync(folder)) rmSync(join(folder, name), { recursive: true });
  return {
    folder,
    files: Object.fromEntries(Object.entries(found).filter(([name]) => /^(full|plain|empty)\//.test(name))),
    preset,
    shared: text("share.json"),
    schedule: wall.out,
    plan: text("plan.json"),
    journal: text("full/journal.jsonl"),
  };
}
