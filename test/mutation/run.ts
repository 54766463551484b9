/**
 * Mutation sample: changes the library in one place at a time and sees whether the tests notice.
 *
 *     npx tsx test/mutation/run.ts [mutants per area] [seed] [area ...]
 *
 * Each mutant meets the rounds of its area, the quickest and nearest tests first, until one notices it; what lives through
 * the last round is a survivor, which has met all of them and nothing else. Works on a copy in the system's scratch folder;
 * prints survivors as they are found, and for each area how many were killed by the first round and by all.
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
  /** Rounds of test files and folders, each one run of the tests. */
  readonly rounds: readonly (readonly string[])[];
}

const inferenceRounds = [
  ["comparison", "diagnosis", "fits-through-json", "inference", "profile"],
  ["inference-coverage", "parameter-intervals"],
].map((names) => names.map((name) => `test/regression/inference/${name}.test.ts`));

/** Names of test files of one folder, as paths. */
const within =
  (folder: string) =>
  (...names: readonly string[]): string[] =>
    names.map((name) => `${folder}/${name}.test.ts`);

const bead = within("test/models/bead");
const outcome = within("test/models/outcome");
const window = within("test/window");

const rooms: Readonly<Record<string, Area["rounds"]>> = {
  linear: [["test/regression/linear"], ...inferenceRounds.slice(0, 1)],
  nonlinear: [["test/regression/nonlinear"], ...inferenceRounds.slice(0, 1)],
  formula: [["test/regression/formula"], ["test/cli/curve.test.ts"]],
  inference: [...inferenceRounds, bead("bead", "forms")],
  "pass-fail": [
    within("test/regression/pass-fail")("logistic", "ordinal"),
    ["test/regression/pass-fail/logistic-coverage.test.ts", ...bead("grades")],
  ],
  blocks: [
    within("test/regression/blocks")("reml", "variance-intervals"),
    ["test/regression/blocks/reml-coverage.test.ts", ...bead("block-shifts")],
  ],
  robust: [["test/regression/robust"], ...inferenceRounds.slice(0, 1)],
  "gaussian-process": [
    within("test/regression/gaussian-process")("gaussian-process", "gaussian-process-average"),
    ["test/regression/gaussian-process/gaussian-process-coverage.test.ts", ...bead("choice", "forms")],
  ],
  blended: [["test/regression/blended"], bead("together")],
  common: [
    ["test/regression/linear", "test/regression/nonlinear", "test/regression/robust"],
    ...inferenceRounds.slice(0, 1),
  ],
  curve: [["test/regression/curve"], ["test/cli/curve.test.ts"]],
  smooth: [["test/models/plausibility/run-effects.test.ts"], ["test/models/plausibility"]],
};

const areas: Readonly<Record<string, Area>> = {
  ...Object.fromEntries(
    Object.entries(rooms).map(([room, rounds]) => [
      `regression/${room}`,
      { sources: [`lib/regression/${room}`], rounds },
    ]),
  ),
  outcome: {
    sources: ["lib/models/outcome"],
    rounds: [
      outcome(
        "coordinates",
        "departure-basis",
        "latent",
        "latent-fit",
        "latent-tie",
        "response-link",
        "survival",
      ),
      outcome("margins", "predictor", "transfer"),
      window("desirability", "expected-gain"),
      window("confirmation", "conformance", "window"),
    ],
  },
  window: {
    sources: ["lib/window"],
    rounds: [
      window("box-probability", "desirability", "expected-gain"),
      window("confirmation", "conformance", "closed-loop"),
      window("window", "propose"),
    ],
  },
  journal: {
    sources: ["lib/study/journal", "lib/study/record"],
    rounds: [
      [
        "test/study/journal/journal.test.ts",
        "test/study/record",
        "test/study/csv/csv-import.test.ts",
        "test/study/csv/csv-round-trip.test.ts",
      ],
      ["test/study/journal/writers.test.ts", "test/study/demo"],
    ],
  },
  csv: { sources: ["lib/study/csv"], rounds: [["test/study/csv"], ["test/study/demo"]] },
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

/** Whether the tests of a round fail, or never end. */
function noticed(copy: string, round: readonly string[]): boolean {
  const result = spawnSync(
    process.execPath,
    [
      join("node_modules", "vitest", "vitest.mjs"),
      "run",
      "--no-isolate",
      "--maxWorkers=1",
      "--bail=1",
      "--testTimeout=60000",
      "--experimental.fsModuleCache",
      `--experimental.fsModuleCachePath=${join(copy, "module-cache")}`,
      ...round,
    ],
    { cwd: copy, stdio: "ignore", timeout: 240_000, killSignal: "SIGKILL" },
  );
  return result.status !== 0;
}

/** Which round noticed the mutant, the first being 0; -1 for none. */
function noticedBy(copy: string, mutant: Mutant, rounds: Area["rounds"]): number {
  const path = join(copy, mutant.file);
  const text = readFileSync(path, "utf8");
  writeFileSync(path, text.slice(0, mutant.start) + mutant.becomes + text.slice(mutant.end));
  try {
    return rounds.findIndex((round) => noticed(copy, round));
  } finally {
    writeFileSync(path, text);
  }
}

const [count = "40", seed = "1", ...chosen] = process.argv.slice(2);
const copy = copyProject();
try {
  let killed = 0;
  let tried = 0;
  for (const [name, { sources, rounds }] of Object.entries(areas)) {
    if (chosen.length > 0 && !chosen.includes(name)) continue;
    const idle = rounds.find((round) => noticed(copy, round));
    if (idle) throw new Error(`${idle.join(" ")} fails, or finds no test, before anything is changed`);
    const all = sources
      .flatMap(sourcesOf)
      .flatMap((file) => mutantsOf(file, readFileSync(join(root, file), "utf8")));
    const sample = randomStream(Number(seed)).split(name).shuffle(all).slice(0, Number(count));
    const by = sample.map((mutant) => {
      const round = noticedBy(copy, mutant, rounds);
      if (round < 0)
        console.log(
          `  survives: ${mutant.file}:${mutant.line}:${mutant.column}  ${mutant.was}  ->  ${mutant.becomes}`,
        );
      return round;
    });
    const alive = by.filter((round) => round < 0);
    console.log(
      `${name}: ${by.filter((round) => round === 0).length} of ${sample.length} killed by the nearest tests, ` +
        `${sample.length - alive.length} by all (${all.length} possible)`,
    );
    killed += sample.length - alive.length;
    tried += sample.length;
  }
  console.log(`${killed} of ${tried} mutants killed, ${((100 * killed) / tried).toFixed(1)} %`);
} finally {
  rmSync(copy, { recursive: true, force: true });
}
