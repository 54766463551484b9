/**
 * Mutation sample: changes the library in one place at a time and sees whether the tests notice.
 *
 *     npx tsx test/mutation/run.ts [mutants per area] [seed] [area ...]
 *
 * Each mutant meets the tests beside its folder; where several are named, one after another until it is noticed. Works on a copy in the
 * system's scratch folder; prints survivors as they are found, and the share killed per area.
 */
import { spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { randomStream } from "../../lib/numeric/index.js";
import { type Mutant, mutantsOf } from "./mutants.js";

const root = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..");

interface Area {
  readonly sources: readonly string[];
  /** Test folders, those likeliest to notice first. */
  readonly tests: readonly string[];
}

const rooms = [
  "linear",
  "nonlinear",
  "formula",
  "inference",
  "pass-fail",
  "blocks",
  "robust",
  "gaussian-process",
];

const areas: Readonly<Record<string, Area>> = {
  ...Object.fromEntries(
    rooms.map((room) => [
      `regression/${room}`,
      { sources: [`lib/regression/${room}`], tests: [`test/regression/${room}`] },
    ]),
  ),
  "regression/common": {
    sources: ["lib/regression/common"],
    tests: ["test/regression/linear", "test/regression/nonlinear", "test/regression/inference"],
  },
  outcome: { sources: ["lib/models/outcome"], tests: ["test/models/outcome", "test/window"] },
  window: { sources: ["lib/window"], tests: ["test/window"] },
  journal: { sources: ["lib/study/journal", "lib/study/record"], tests: ["test/study"] },
  csv: { sources: ["lib/study/csv"], tests: ["test/study/csv", "test/study"] },
};

function sourcesOf(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    if (entry.isDirectory()) return sourcesOf(path);
    return path.endsWith(".ts") && entry.name !== "index.ts" ? [path] : [];
  });
}

/** A copy of the project whose library may be spoilt. */
function copyProject(): string {
  const copy = mkdtempSync(join(tmpdir(), "mutants-"));
  for (const part of [
    "lib",
    "test",
    "data-demo",
    "notebooks",
    "package.json",
    "tsconfig.json",
    "README.md",
  ]) {
    cpSync(join(root, part), join(copy, part), { recursive: true });
  }
  symlinkSync(join(root, "node_modules"), join(copy, "node_modules"), "junction");
  return copy;
}

/** Whether the tests of these folders fail, or never end. */
function noticed(copy: string, folders: readonly string[]): boolean {
  return folders.some((folder) => {
    const result = spawnSync(
      process.execPath,
      [
        join("node_modules", "vitest", "vitest.mjs"),
        "run",
        "--no-isolate",
        "--bail=1",
        "--testTimeout=60000",
        folder,
      ],
      { cwd: copy, stdio: "ignore", timeout: 240_000, killSignal: "SIGKILL" },
    );
    return result.status !== 0;
  });
}

function survives(copy: string, mutant: Mutant, tests: readonly string[]): boolean {
  const path = join(copy, mutant.file);
  const text = readFileSync(path, "utf8");
  writeFileSync(path, text.slice(0, mutant.start) + mutant.becomes + text.slice(mutant.end));
  try {
    return !noticed(copy, tests);
  } finally {
    writeFileSync(path, text);
  }
}

const [count = "40", seed = "1", ...chosen] = process.argv.slice(2);
const copy = copyProject();
try {
  let killed = 0;
  let tried = 0;
  for (const [name, { sources, tests }] of Object.entries(areas)) {
    if (chosen.length > 0 && !chosen.includes(name)) continue;
    const all = sources
      .flatMap(sourcesOf)
      .flatMap((file) => mutantsOf(file, readFileSync(join(root, file), "utf8")));
    const sample = randomStream(Number(seed)).split(name).shuffle(all).slice(0, Number(count));
    const alive = sample.filter((mutant) => {
      const lives = survives(copy, mutant, tests);
      if (lives)
        console.log(`  survives: ${mutant.file}:${mutant.line}  ${mutant.was}  ->  ${mutant.becomes}`);
      return lives;
    });
    console.log(
      `${name}: ${sample.length - alive.length} of ${sample.length} killed (${all.length} possible)`,
    );
    killed += sample.length - alive.length;
    tried += sample.length;
  }
  console.log(`${killed} of ${tried} mutants killed, ${((100 * killed) / tried).toFixed(1)} %`);
} finally {
  rmSync(copy, { recursive: true, force: true });
}
