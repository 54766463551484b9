/** Opening a long journal and writing to one, beside the least a reader of JSON can do and beside SQLite. */
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { journalPath } from "../../lib/study/journal/index.js";
import { appendEntries, openStudy } from "../../lib/study/record/index.js";
import { makeLongStudy } from "../durability/long-study.js";
import { type BenchRow, medianTime, startPeer } from "./peer.js";

/** Keeps each line of a journal as a row; reads all of them as objects, or commits one row more, flushed to the disk. */
const PEER = `
import sqlite3, json, sys, time
base = None
def load(path):
    global base
    base = sqlite3.connect(path + ".db", isolation_level=None)
    base.execute("pragma synchronous=full")
    base.execute("create table entry (seq integer primary key, line text)")
    base.execute("begin")
    base.executemany("insert into entry (line) values (?)", ((line,) for line in open(path, encoding="utf8")))
    base.execute("commit")
def read():
    return len([json.loads(line) for (line,) in base.execute("select line from entry order by seq")])
def write():
    base.execute("insert into entry (line) values (?)", ('{"kind":"note","text":"read"}',))
print("ready")
for line in sys.stdin:
    what, _, path = line.strip().partition(" ")
    start = time.perf_counter()
    {"load": lambda: load(path), "read": read, "write": write}[what]()
    print((time.perf_counter() - start) * 1000)
`;

const middle = (times: number[]): number => times.sort((a, b) => a - b)[times.length >> 1]!;

export async function bench(): Promise<readonly BenchRow[]> {
  const folder = mkdtempSync(join(tmpdir(), "beadbench-journal-"));
  const [long, short] = [join(folder, "long"), join(folder, "short")];
  makeLongStudy(long, 100_000);
  makeLongStudy(short, 1000);
  const sqlite = await startPeer(PEER);
  const ask = async (what: string): Promise<number> => Number((await sqlite?.ask(what)) ?? Number.NaN);
  const lines = (): readonly unknown[] =>
    readFileSync(journalPath(long), "utf8")
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
  const open = medianTime(() => openStudy(long), 5, 1);
  const parse = medianTime(lines, 5, 1);
  await ask(`load ${journalPath(long)}`);
  const rows = middle([await ask("read"), await ask("read"), await ask("read")]);
  await ask(`load ${journalPath(short)}`);
  let study = openStudy(short);
  const [ours, theirs]: [number[], number[]] = [[], []];
  for (let turn = 0; turn < 100; turn++) {
    const start = performance.now();
    study = appendEntries(study, [{ kind: "note", text: "read" }]);
    ours.push(performance.now() - start);
    theirs.push(await ask("write"));
  }
  sqlite?.end();
  rmSync(folder, { recursive: true, force: true });
  const row = (name: string, ours_ms: number, peer: string, peer_ms: number): BenchRow => ({
    name,
    ours_ms,
    peer,
    peer_ms,
    ratio: ours_ms / peer_ms,
    target: "",
  });
  return [
    {
      ...row(
        "open a study of 100,000 entries, all checked",
        open,
        "JSON.parse of every line, nothing checked",
        parse,
      ),
      target: "<= 1000 ms on a calm machine",
    },
    row("the same", open, "SQLite and Python: every row read and parsed", rows),
    row(
      "log a note to a study of 1000 entries, flushed",
      middle(ours),
      "SQLite, one row committed, synchronous = full",
      middle(theirs),
    ),
  ];
}
