/**
 * A process that works on a study until it is killed, and prints the hash of each entry once it is acknowledged.
 * Usage: worker <study folder> <seed> <most acts> <act>...
 */
import { existsSync, writeFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { homeOf } from "../../lib/bench/day.js";
import { recordTask } from "../../lib/bench/record-task.js";
import { randomStream } from "../../lib/numeric/random/index.js";
import { importCsv } from "../../lib/study/csv/index.js";
import {
  appendEntries,
  attachFile,
  openStudy,
  recoverStudy,
  type Study,
} from "../../lib/study/record/index.js";
import { mergeStudy } from "../../lib/study/share/index.js";

const [folder = "", seed = "0", most = "0", ...acts] = process.argv.slice(2);
const beside = join(folder, "..");
const other = join(beside, "other");
const stream = randomStream(Number(seed));
const options = { waitMs: 60_000 };
const told = new Set<string>();

const tell = (word: string): void => {
  writeSync(1, `${word}\n`);
};

function acknowledge({ entries }: Study): void {
  for (const { hash } of entries.filter(({ hash }) => !told.has(hash))) {
    told.add(hash);
    tell(hash);
  }
}

const logged = () =>
  ({
    kind: "logged",
    values: { current: 100, travel_speed: 100, bead_width: 4 + stream.uniform() },
  }) as const;

const deeds: Readonly<Record<string, (turn: number) => Study>> = {
  note: (turn) => appendEntries(openStudy(folder), [{ kind: "note", text: `${seed} ${turn}` }], options),
  log: () => appendEntries(openStudy(folder), [logged()], options),
  change: () => appendEntries(openStudy(folder), [{ kind: "change", what: "contact_tip" }], options),
  import: () => {
    const rows = Array.from({ length: 25 }, () => `100,100,${(4 + stream.uniform()).toFixed(9)}`);
    const text = `current [A],travel_speed [mm/min],bead_width [mm]\n${rows.join("\n")}\n`;
    return importCsv(openStudy(folder), text, options).study;
  },
  attach: (turn) => {
    const path = join(beside, `bead-${stream.integer(1, 3)}.jpg`);
    writeFileSync(path, `${seed} ${turn} `.repeat(2000));
    return attachFile(openStudy(folder), path, options);
  },
  other: () => appendEntries(openStudy(other), [logged()], options),
  merge: () => mergeStudy(folder, other, options).study,
  recover: (turn) => {
    const into = join(beside, `recovered-${seed}-${turn}`);
    if (existsSync(into)) return openStudy(folder);
    recoverStudy(folder, into, options);
    tell(`recovered ${into}`);
    return openStudy(folder);
  },
  page: (turn) => {
    const made = new Date().toISOString();
    const request = {
      id: `${seed}-${turn}`,
      home: homeOf(folder),
      made,
      task: { kind: "note", text: `at the bench ${seed} ${turn}` },
    } as const;
    const desk = { folder, clock: () => new Date() };
    // A page sends again what was not answered.
    recordTask(desk, request, undefined);
    recordTask(desk, request, undefined);
    return openStudy(folder);
  },
};

acknowledgeNothing(openStudy(folder));
tell("ready");
for (let turn = 1; turn <= Number(most); turn++)
  acknowledge(deeds[acts[stream.integer(0, acts.length - 1)]!]!(turn));

/** What was there before is owed by whoever wrote it. */
function acknowledgeNothing({ entries }: Study): void {
  for (const { hash } of entries) told.add(hash);
}
