import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync, readFileSync, utimesSync, writeFileSync } from "node:fs";
import { hostname, uptime } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { appendEntries, openStudy, verifyJournal } from "../../../lib/study/index.js";
import { faultsOf, newFolder, newStudy } from "../support.js";

const script = fileURLToPath(new URL("journal-writer.ts", import.meta.url));

function startWriter(folder: string, name: string, count: number): ChildProcess {
  return spawn(process.execPath, ["--import", "tsx", script, folder, name, String(count)], {
    stdio: ["ignore", "pipe", "inherit"],
  });
}

/** Resolves with the highest acknowledged number: when the child ends, or right after it is killed at `killAt`. */
async function acknowledged(child: ChildProcess, killAt = Number.POSITIVE_INFINITY): Promise<number> {
  let text = "";
  child.stdout?.on("data", (chunk: Buffer) => {
    text += chunk.toString();
    if (text.split("\n").length > killAt) child.kill("SIGKILL");
  });
  await once(child, "close");
  return text.split("\n").length - 1;
}

const textsOf = (folder: string): readonly string[] =>
  openStudy(folder)
    .notes.map(({ text }) => text)
    .filter((text) => !text.startsWith("The journal ended"));

describe("writers of a journal", () => {
  test("killed in the middle of 500 writes lose nothing that was acknowledged", async () => {
    const { folder } = newStudy();
    const acks: number[] = [];
    for (const [i, killAt] of [150, 90].entries()) {
      acks.push(await acknowledged(startWriter(folder, `run${i}`, 500), killAt));
      expect(acks[i]).toBeGreaterThanOrEqual(killAt);
      expect(acks[i]).toBeLessThan(500);
    }
    const rest = 500 - acks[0]! - acks[1]!;
    acks.push(await acknowledged(startWriter(folder, "run2", rest)));
    const kept = new Set(textsOf(folder));
    const owed = acks.flatMap((count, run) => Array.from({ length: count }, (_, i) => `run${run} ${i + 1}`));
    expect(owed).toHaveLength(500);
    expect(owed.filter((text) => !kept.has(text))).toEqual([]);
    // At most the one write in flight at each kill is there without having been acknowledged.
    expect(kept.size - owed.length).toBeLessThanOrEqual(2);
    expect(verifyJournal(folder).faults).toEqual([]);
  }, 60_000);

  test("writing at the same time take turns", async () => {
    const { folder } = newStudy();
    const counts = await Promise.all(["a", "b"].map((name) => acknowledged(startWriter(folder, name, 25))));
    expect(counts).toEqual([25, 25]);
    const texts = textsOf(folder);
    for (const name of ["a", "b"]) {
      expect(texts.filter((text) => text.startsWith(name))).toEqual(
        Array.from({ length: 25 }, (_, i) => `${name} ${i + 1}`),
      );
    }
    expect(verifyJournal(folder)).toMatchObject({ entries: 50, faults: [] });
  }, 60_000);
});

describe("the lock", () => {
  const lockOf = (folder: string): string => join(folder, "journal.lock");
  const holder = {
    pid: process.pid,
    host: hostname(),
    uptime: uptime(),
    token: "x",
    time: "2026-03-02T08:00:00Z",
  };
  const note = [{ kind: "note", text: "x" }] as const;

  /** The id of a process that has ended. */
  async function endedProcess(): Promise<number> {
    const child = spawn(process.execPath, ["-e", ""]);
    await once(child, "close");
    return child.pid!;
  }

  test("held by a living process is respected, and its holder named", () => {
    const study = newStudy();
    writeFileSync(lockOf(study.folder), JSON.stringify(holder));
    expect(faultsOf(() => appendEntries(study, note, { waitMs: 30 }))).toEqual([
      `the study is being written by process ${process.pid} on ${hostname()} since 2026-03-02T08:00:00Z; wait for it to finish, or delete ${lockOf(study.folder)} if that process no longer runs`,
    ]);
    expect(JSON.parse(readFileSync(lockOf(study.folder), "utf8"))).toEqual(holder);
    expect(openStudy(study.folder).entries).toEqual([]);
  });

  test("of another computer is never taken over", async () => {
    const study = newStudy();
    writeFileSync(
      lockOf(study.folder),
      JSON.stringify({ ...holder, host: "bench-pc", pid: await endedProcess() }),
    );
    expect(faultsOf(() => appendEntries(study, note, { waitMs: 30 }))[0]).toContain("on bench-pc since");
  });

  test.each([
    ["a process that is gone", async () => ({ ...holder, pid: await endedProcess() })],
    ["a process number from before the last restart", async () => ({ ...holder, uptime: uptime() + 1e6 })],
  ])("left by %s is taken over", async (_case, stale) => {
    const study = newStudy();
    writeFileSync(lockOf(study.folder), JSON.stringify(await stale()));
    expect(appendEntries(study, note, { waitMs: 1000 }).notes).toHaveLength(1);
    expect(existsSync(lockOf(study.folder))).toBe(false);
  });

  test("that never got its content is taken over, but only after the time that filling may take", () => {
    const study = newStudy();
    writeFileSync(lockOf(study.folder), "");
    expect(faultsOf(() => appendEntries(study, note, { waitMs: 300 }))[0]).toMatch(/an unknown process/);
    expect(appendEntries(study, note, { waitMs: 10_000 }).notes).toHaveLength(1);
    expect(existsSync(lockOf(study.folder))).toBe(false);
  });

  test("is not waited for longer than asked", () => {
    const study = newStudy();
    writeFileSync(lockOf(study.folder), JSON.stringify(holder));
    const start = performance.now();
    expect(faultsOf(() => appendEntries(study, note, { waitMs: 400 }))).toHaveLength(1);
    expect(performance.now() - start).toBeGreaterThanOrEqual(400);
  });

  test("whose removal somebody left half done is taken over all the same, and nothing is left behind", async () => {
    const study = newStudy();
    const gone = JSON.stringify({ ...holder, pid: await endedProcess() });
    for (const guards of ["", ".takeover", ".takeover.takeover"])
      writeFileSync(`${lockOf(study.folder)}${guards}`, gone);
    expect(appendEntries(study, note, { waitMs: 1000 }).notes).toHaveLength(1);
    expect(readdirSync(study.folder).filter((name) => name.startsWith("journal.lock"))).toEqual([]);
  });

  test("whose removal was cut off before it was signed is taken over as well", async () => {
    const study = newStudy();
    const guard = `${lockOf(study.folder)}.takeover`;
    writeFileSync(lockOf(study.folder), JSON.stringify({ ...holder, pid: await endedProcess() }));
    writeFileSync(guard, "");
    expect(faultsOf(() => appendEntries(study, note, { waitMs: 30 }))).toHaveLength(1);
    utimesSync(guard, 1, 1);
    expect(appendEntries(study, note, { waitMs: 1000 }).notes).toHaveLength(1);
    expect(readdirSync(study.folder).filter((name) => name.startsWith("journal.lock"))).toEqual([]);
  });

  test.skipIf(process.platform !== "linux").each([
    ["another start of the machine", { boot: "0c5e0f61-0000-4000-8000-000000000000" }],
    ["a process whose number a younger one has now", { uptime: 1 }],
  ])("left by %s is taken over, though a process of its number runs", (_case, stale) => {
    const study = newStudy();
    writeFileSync(lockOf(study.folder), JSON.stringify({ ...holder, ...stale }));
    expect(appendEntries(study, note, { waitMs: 1000 }).notes).toHaveLength(1);
  });

  test("is given back when the entries are refused", () => {
    const study = newStudy();
    expect(faultsOf(() => appendEntries(study, [{ kind: "note", text: "" }]))).toHaveLength(1);
    expect(existsSync(lockOf(study.folder))).toBe(false);
  });
});

test("openStudy says where there is no study", () => {
  const folder = newFolder();
  expect(faultsOf(() => openStudy(folder))).toEqual([
    `there is no study in ${folder} (no study.json); check the name, or start one with \`beadbench new\` (createStudy)`,
  ]);
});
