import fs, { mkdtempSync, readFileSync } from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, expect, test } from "vitest";
import { createDemoStudy, verifyJournal } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const { writeSync, openSync, fsyncSync } = fs;
const fault = (code: string, syscall: string): Error => Object.assign(new Error(code), { code, syscall });

afterEach(() => {
  Object.assign(fs, { writeSync, openSync, fsyncSync });
  syncBuiltinESMExports();
});

/** Files written from now on fail as told: `writeSync` puts down half of what it is given first. */
function failing(parts: Partial<Record<"writeSync" | "openSync" | "fsyncSync", unknown>>): void {
  Object.assign(fs, parts);
  syncBuiltinESMExports();
}

test.each([
  [
    "a full disk",
    {
      writeSync: (file: number, bytes: Buffer | string) => {
        if (typeof bytes === "string") return writeSync(file, bytes);
        writeSync(file, bytes, 0, bytes.length >> 1);
        throw fault("ENOSPC", "write");
      },
    },
    /the disk is full; make room.*ENOSPC/,
  ],
  [
    "a disk that fails to flush",
    {
      fsyncSync: () => {
        throw fault("EIO", "fsync");
      },
    },
    /the disk does not answer.*EIO/,
  ],
  [
    "a disk that can only be read",
    {
      openSync: (path: string, flags: string, mode?: number) => {
        if (flags !== "r") throw fault("EROFS", "open");
        return openSync(path, flags, mode);
      },
    },
    /this disk can only be read.*EROFS/,
  ],
] as const)("logging to %s says so, and the journal stays as it was", async (_, parts, told) => {
  const folder = mkdtempSync(join(tmpdir(), "beadbench-disk-"));
  createDemoStudy(join(folder, "s"), () => false);
  const shell = commandLine(folder);
  await shell.run("log", "s", "--note", "before");
  const journal = join(folder, "s", "journal.jsonl");
  const before = readFileSync(journal);
  failing(parts);
  const { status, out, notes } = await shell.run("log", "s", "--note", "lost");
  Object.assign(fs, { writeSync, openSync, fsyncSync });
  syncBuiltinESMExports();
  expect(notes).toMatch(told);
  expect([status, out]).toEqual([1, ""]);
  expect(readFileSync(journal).equals(before)).toBe(true);
  expect((await shell.run("log", "s", "--note", "after")).status).toBe(0);
  expect(verifyJournal(join(folder, "s")).faults).toEqual([]);
});
