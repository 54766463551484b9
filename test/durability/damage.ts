/** A journal damaged in many ways, and what reading and recovering it must come to. */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { randomStream } from "../../lib/numeric/random/index.js";
import { verifyJournal } from "../../lib/study/journal/index.js";
import { appendEntries, openStudy, recoverStudy } from "../../lib/study/record/index.js";
import { makeLongStudy } from "./long-study.js";

interface Damage {
  readonly tried: number;
  readonly faults: readonly string[];
}

function withStudy<T>(entries: number, work: (folder: string, path: string) => T): T {
  const folder = join(mkdtempSync(join(tmpdir(), "beadbench-damage-")), "study");
  makeLongStudy(folder, entries);
  const result = work(folder, join(folder, "journal.jsonl"));
  rmSync(join(folder, ".."), { recursive: true });
  return result;
}

/**
 * Flips a bit of every byte, or of every so many, another one from byte to byte: what is read is as it was, or damage is told at
 * the line that was hit, or at the next where the hit joined or hid a line.
 */
export function flipEveryBit(entries: number, stride: number): Damage {
  return withStudy(entries, (folder, path) => {
    const { entries: whole } = openStudy(folder);
    const sound = readFileSync(path);
    const damaged = Buffer.from(sound);
    const faults: string[] = [];
    let tried = 0;
    let line = 1;
    for (let at = 0; at < sound.length; at++) {
      if (at % stride === 0) {
        damaged[at]! ^= 1 << ((at / stride) % 8);
        writeFileSync(path, damaged);
        const check = verifyJournal(folder);
        const first = Math.min(...check.faults.map((fault) => fault.line), entries);
        const unseen = check.faults.length === 0 && check.torn === undefined;
        if (unseen && JSON.stringify(openStudy(folder).entries) !== JSON.stringify(whole))
          faults.push(`byte ${at}: read otherwise, and nothing told`);
        if (!unseen && first !== line && first !== line + 1)
          faults.push(`byte ${at} of line ${line}: told of line ${first}`);
        damaged[at] = sound[at]!;
        tried++;
      }
      if (sound[at] === 10) line++;
    }
    return { tried, faults };
  });
}

/** Moves, repeats and takes out lines by chance: recovering keeps every line that is there, once, and can be done again. */
export function shuffleLines(times: number, seed: number): Damage {
  const stream = randomStream(seed);
  const faults: string[] = [];
  for (let turn = 0; turn < times; turn++) {
    withStudy(25, (folder, path) => {
      const lines = readFileSync(path, "utf8").trimEnd().split("\n");
      const there = lines.flatMap((line) => {
        const luck = stream.uniform();
        return luck < 0.05 ? [] : luck < 0.1 ? [line, line] : [line];
      });
      for (let move = stream.integer(0, 3); move > 0; move--)
        there.splice(
          stream.integer(0, there.length),
          0,
          ...there.splice(stream.integer(0, there.length - 1), 1),
        );
      const text = `${there.join("\n")}\n`;
      writeFileSync(path, text);
      cpSync(folder, join(folder, "..", "before"), { recursive: true });
      const once = recoverStudy(folder, join(folder, "..", "once"));
      const twice = recoverStudy(once.study.folder, join(folder, "..", "twice"));
      const orphans = once.lost.filter(({ line, seq }) => line === undefined && seq !== undefined).length;
      const owed = new Set(there).size - orphans;
      if (once.kept !== owed) faults.push(`${seed} ${turn}: ${once.kept} of ${owed} lines recovered`);
      if (twice.lost.length > 0 || twice.kept !== once.kept + 1)
        faults.push(`${seed} ${turn}: recovered again otherwise`);
      if (readFileSync(path, "utf8") !== text)
        faults.push(`${seed} ${turn}: the damaged journal was changed`);
      const after = appendEntries(twice.study, [{ kind: "note", text: "afterwards" }]);
      if (verifyJournal(after.folder).faults.length > 0)
        faults.push(`${seed} ${turn}: is not sound after writing`);
    });
  }
  return { tried: times, faults };
}
