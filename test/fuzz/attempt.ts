import { mkdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import type { Hono } from "hono";
import { answersHere } from "../../lib/bench/answers.js";
import { makeApp } from "../../lib/bench/app.js";
import { ownNames } from "../../lib/bench/guard.js";
import { commandLine } from "../cli/run.js";
import { obeyed, pageFaults } from "./page-faults.js";
import { type Files, filesOf, type Seeds, writeFiles } from "./seeds.js";

/** One input: files beside the seeds' studies, and what is asked of them in turn until something is refused. */
export interface Trial {
  readonly files: Files;
  readonly lines?: readonly (readonly string[])[];
  /** Asked of the bench page of the study `full`. */
  readonly requests?: readonly Request[];
}

/** How an input was taken. */
export interface Outcome {
  /** Whether the first thing asked was done. */
  readonly accepted: boolean;
  /** What must not be, each with the line that showed it. */
  readonly faults: readonly string[];
  /** What was told to whoever typed a refused line. */
  readonly messages: readonly string[];
  readonly slowest: { readonly seconds: number; readonly asked: string };
}

/** Where inputs are tried: everything below `root` is emptied before each. */
export interface Place {
  readonly root: string;
  readonly seeds: Seeds;
  /** Code of the scripts that pages bring themselves. */
  readonly scripts: ReadonlySet<string>;
}

const MOST_SECONDS = 20;

/** Words that no message for people holds: traces of the program's inside. */
const inside =
  /internal error|\[object |\bundefined\b(?!")|\bTypeError\b|\bRangeError\b|Cannot read prop|is not a function|^\s+at \S+:\d+/m;

/** Puts the files of a trial to their place, as a user would have them there. */
export function setOut({ root, seeds }: Pick<Place, "root" | "seeds">, files: Files): string {
  rmSync(root, { recursive: true, force: true });
  const { folder } = seeds;
  mkdirSync(folder, { recursive: true });
  writeFiles(folder, { ...seeds.files, ...files });
  return folder;
}

const differences = (before: Files, after: Files): readonly string[] =>
  [...new Set([...Object.keys(before), ...Object.keys(after)])].filter((name) => {
    const [was, is] = [before[name], after[name]];
    return was === undefined || is === undefined || !Buffer.from(was).equals(Buffer.from(is));
  });

/** Whether all that changed is that a journal's unfinished end stands in a file of its own, nothing of it lost. */
function tornSetAside(before: Files, after: Files, changed: readonly string[]): boolean {
  return changed.every((name) => {
    const journal = name.replace(/[^/]*$/, "journal.jsonl");
    const torn = changed.find((other) => other.startsWith(journal.replace(".jsonl", ".torn-after-")));
    const was = before[journal];
    if (torn === undefined || was === undefined || after[torn] === undefined) return false;
    return Buffer.from(was).subarray(-after[torn].length).equals(Buffer.from(after[torn]));
  });
}

/** Tries one input, and judges everything that can be seen of it from outside. */
export async function attempt(place: Place, trial: Trial): Promise<Outcome> {
  const folder = setOut(place, trial.files);
  const faults: string[] = [];
  const messages: string[] = [];
  let slowest = { seconds: 0, asked: "" };
  let done = 0;
  let before = filesOf(place.root);
  /** Asks one thing, and says whether to go on. */
  const ask = async (asked: string, work: () => Promise<boolean>): Promise<boolean> => {
    const fault = (what: string): number => faults.push(`${asked}: ${what}`);
    const start = [performance.now(), process.cpuUsage()] as const;
    const good = await work();
    const { user, system } = process.cpuUsage(start[1]);
    // Where other programs hold the machine, its own time counts.
    const seconds = Math.min((performance.now() - start[0]) / 1000, (user + system) / 1e6);
    if (seconds > slowest.seconds) slowest = { seconds, asked };
    if (seconds > MOST_SECONDS) fault(`took ${seconds.toFixed(1)} s`);
    const after = filesOf(place.root);
    const changed = differences(before, after);
    if (!good && changed.length > 0 && !tornSetAside(before, after, changed))
      fault(`was refused, and yet changed ${changed.join(", ")}`);
    for (const name of changed) {
      if (/\.part$|\.lock$/.test(name)) fault(`left ${name} behind`);
      const text = /\.(?:html|svg)$/.test(name) ? String(after[name] ?? "") : "";
      for (const strange of pageFaults(text, place.scripts)) fault(`${name}: ${strange}`);
    }
    before = after;
    if (good) done++;
    return good;
  };
  const shell = commandLine(folder);
  for (const line of trial.lines ?? []) {
    const asked = line.map((word) => (/^[\w./=,-]+$/.test(word) ? word : JSON.stringify(word))).join(" ");
    const goOn = await ask(asked.slice(0, 400), async () => {
      const { status, out, notes } = await shell.run(...line);
      if (status !== 0 && status !== 1)
        faults.push(`${asked}: ended with ${status}: ${notes.slice(0, 2000)}`);
      if (status === 1) {
        messages.push(notes);
        if (notes.trim() === "" && out === "") faults.push(`${asked}: was refused without a word`);
        if (inside.test(notes)) faults.push(`${asked}: told ${notes.slice(0, 600)}`);
      }
      // What is written to standard output as a file is whatever the study says.
      if (obeyed.test(notes) || (obeyed.test(out) && !/^(?:export|share|sheet)\b/.test(asked)))
        faults.push(
          `${asked}: printed what a terminal obeys: ${JSON.stringify((notes + out).match(obeyed)?.input?.slice(0, 300))}`,
        );
      return status === 0;
    });
    if (!goOn) break;
  }
  if (trial.requests !== undefined) {
    const app: Hono = await makeApp({
      answers: answersHere(join(folder, "full")),
      folder: join(folder, "full"),
      clock: () => new Date("2026-04-01T08:00:00Z"),
      files: { scripts: new Map(), worker: "" },
      names: ownNames("localhost"),
    });
    for (const request of trial.requests)
      await ask(`${request.method} ${request.url}`, async () => {
        const answer = await app.fetch(request);
        const text = await answer.text();
        if (answer.status >= 500)
          faults.push(`${request.method} ${request.url}: answered ${answer.status}: ${text.slice(0, 800)}`);
        if (answer.status >= 400) {
          messages.push(text);
          if (inside.test(text)) faults.push(`${request.url}: told ${text.slice(0, 600)}`);
        }
        return answer.status < 400;
      });
  }
  return { accepted: done > 0, faults, messages, slowest };
}
