/** Real processes on one study, killed at random moments, and what must be true of what they acknowledged. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { cpSync, existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildSync } from "esbuild";
import { type RandomStream, randomStream } from "../../lib/numeric/random/index.js";
import { verifyJournal } from "../../lib/study/journal/index.js";
import { createStudy, openStudy, type Study, verifyAttachments } from "../../lib/study/record/index.js";
import { longDefinition } from "./long-study.js";

/** A program of its own file, so that a process starts in a tenth of a second. */
export function buildWorker(): string {
  // Beside the packages that are not put into it.
  const file = fileURLToPath(new URL("../../node_modules/.durability/worker.mjs", import.meta.url));
  mkdirSync(dirname(file), { recursive: true });
  buildSync({
    entryPoints: [fileURLToPath(new URL("worker.ts", import.meta.url))],
    outfile: file,
    bundle: true,
    platform: "node",
    format: "esm",
    packages: "external",
  });
  return file;
}

interface Worker {
  readonly child: ChildProcess;
  readonly words: string[];
  readonly ready: Promise<unknown>;
  readonly ended: Promise<unknown>;
}

function start(worker: string, folder: string, words: readonly (string | number)[]): Worker {
  const child = spawn(process.execPath, [worker, folder, ...words.map(String)], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  const said: string[] = [];
  let open = "";
  let trouble = "";
  const ready = new Promise<void>((resolve) => {
    child.stdout!.on("data", (chunk: Buffer) => {
      const parts = (open + chunk.toString()).split("\n");
      open = parts.pop()!;
      said.push(...parts.filter((word) => word !== "ready"));
      if (parts.includes("ready")) resolve();
    });
    child.once("close", () => resolve());
  });
  child.stderr!.on("data", (chunk: Buffer) => {
    trouble += chunk.toString();
  });
  const ended = once(child, "close").then(() => {
    // A merge that finds another copy of a journal while it is being written may be refused; nothing else may fail.
    if (trouble !== "") throw new Error(trouble);
  });
  return { child, words: said, ready, ended };
}

const hashesOf = (study: Study): readonly string[] => study.entries.map(({ hash }) => hash);

/** What came of some rounds. */
export interface Outcome {
  readonly kills: number;
  readonly acknowledged: number;
  readonly faults: readonly string[];
}

/** A study and a copy of it, to be merged, in a new folder. */
function makeCopies(): string {
  const folder = join(mkdtempSync(join(tmpdir(), "beadbench-processes-")), "study");
  createStudy(folder, longDefinition);
  cpSync(folder, join(folder, "..", "other"), { recursive: true });
  return folder;
}

function faultsOf(folder: string, owed: ReadonlySet<string>): readonly string[] {
  const study = openStudy(folder);
  const held = [...hashesOf(study), ...hashesOf(openStudy(join(folder, "..", "other")))];
  const found = new Set(held);
  const lost = [...owed].filter((hash) => !found.has(hash)).length;
  const twice = hashesOf(study).length - new Set(hashesOf(study)).size;
  const requests = study.entries.flatMap(({ request }) => request ?? []);
  return [
    ...(lost > 0 ? [`${lost} acknowledged entries are lost`] : []),
    ...(twice > 0 ? [`${twice} entries are there twice`] : []),
    ...(new Set(requests).size < requests.length ? ["a request was written twice"] : []),
    ...study.integrity
      .filter(({ code }) => !code.startsWith("copies") && code !== "journal-torn")
      .map(({ message }) => message),
    ...verifyJournal(folder).faults.map(({ message }) => message),
    ...verifyAttachments(study).map(({ message }) => message),
  ];
}

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Rounds of processes at work at once on a study, all killed at a random moment of each round. */
export async function killed({
  worker,
  kills,
  seed,
  teams,
}: {
  readonly worker: string;
  readonly kills: number;
  readonly seed: number;
  /** What each process of a round does. */
  readonly teams: readonly (readonly string[])[];
}): Promise<Outcome> {
  const stream: RandomStream = randomStream(seed);
  const owed = new Set<string>();
  const faults: string[] = [];
  let folder = makeCopies();
  let acknowledged = 0;
  for (let done = 0; done < kills; done += teams.length) {
    const workers = teams.map((acts, i) => start(worker, folder, [1000 * seed + done + i, 1e6, ...acts]));
    await Promise.all(workers.map(({ ready }) => ready));
    // By work done, not by time alone: on a slow machine the first entry takes longer than any fixed moment.
    const before = stream.integer(0, 12);
    while (
      workers.flatMap(({ words }) => words).length < before &&
      workers.every(({ child }) => child.exitCode === null)
    )
      await wait(1);
    await wait(stream.uniform() * 60);
    for (const { child } of workers) child.kill("SIGKILL");
    for (const { ended } of workers)
      await ended.catch(
        (error: Error): void => void faults.push(`a worker failed: ${error.message.slice(0, 400)}`),
      );
    for (const word of workers.flatMap(({ words }) => words)) {
      const [what, into] = word.split(" ");
      if (what !== "recovered") owed.add(word);
      else {
        faults.push(
          ...openStudy(into!)
            .integrity.filter(({ severity }) => severity === "error")
            .map(({ message }) => message),
        );
        rmSync(into!, { recursive: true });
      }
    }
    faults.push(...faultsOf(folder, owed));
    if (openStudy(folder).entries.length < 1500) continue;
    acknowledged += owed.size;
    owed.clear();
    rmSync(join(folder, ".."), { recursive: true });
    folder = makeCopies();
  }
  const left = faultsOf(folder, owed);
  if (existsSync(folder)) rmSync(join(folder, ".."), { recursive: true });
  return { kills, acknowledged: acknowledged + owed.size, faults: [...new Set([...faults, ...left])] };
}

/** Writers at once, each writing its share of so many entries undisturbed. */
export async function atOnce({
  worker,
  writers,
  entries,
}: {
  readonly worker: string;
  readonly writers: number;
  readonly entries: number;
}): Promise<Outcome> {
  const folder = makeCopies();
  const share = Math.ceil(entries / writers);
  const all = Array.from({ length: writers }, (_, i) => start(worker, folder, [i + 1, share, "note"]));
  await Promise.all(all.map(({ ended }) => ended));
  const owed = new Set(all.flatMap(({ words }) => words));
  const texts = openStudy(folder).notes.map(({ text }) => text);
  const wanted = share * writers;
  const faults = [...faultsOf(folder, owed)];
  if (texts.length !== wanted || new Set(texts).size !== wanted)
    faults.push(`${texts.length} notes, ${new Set(texts).size} of them different, instead of ${wanted}`);
  rmSync(join(folder, ".."), { recursive: true });
  return { kills: 0, acknowledged: wanted, faults };
}
