import fs, { readFileSync, writeFileSync } from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { join } from "node:path";
import { afterEach, expect, test } from "vitest";
import { patiently, writeNewFile } from "../../../lib/study/journal/disk.js";
import { newFolder } from "../support.js";

const { fsyncSync } = fs;
const fault = (code: string): Error => Object.assign(new Error(code), { code });
afterEach(() => {
  fs.fsyncSync = fsyncSync;
  syncBuiltinESMExports();
});

/** Something that fails with this code so many times. */
function failing(code: string, times: number): { readonly work: () => void; readonly calls: () => number } {
  let calls = 0;
  const work = (): void => {
    calls++;
    if (calls <= times) throw fault(code);
  };
  return { work, calls: () => calls };
}

test.each(["EPERM", "EBUSY", "EACCES"])("patiently asks Windows again while it answers %s", (code) => {
  const { work, calls } = failing(code, 3);
  patiently(work, "win32");
  expect(calls()).toBe(4);
});

test("patiently asks once on other systems, of other faults, and not for ever", () => {
  for (const [code, system] of [
    ["EPERM", "linux"],
    ["ENOENT", "win32"],
  ] as const) {
    const { work, calls } = failing(code, 1);
    expect(() => patiently(work, system)).toThrow(code);
    expect(calls()).toBe(1);
  }
  const { work } = failing("EBUSY", Number.POSITIVE_INFINITY);
  expect(() => patiently(work, "win32")).toThrow("EBUSY");
});

/** A disk whose folders answer a flush with this code. */
function foldersAnswer(code: string): void {
  fs.fsyncSync = (file) => {
    if (fs.fstatSync(file).isDirectory()) throw fault(code);
    fsyncSync(file);
  };
  syncBuiltinESMExports();
}

test.each(["EINVAL", "EPERM", "ENOTSUP", "EISDIR"])(
  "a file is written where a folder answers a flush with %s",
  (code) => {
    const path = join(newFolder(), "a");
    foldersAnswer(code);
    writeNewFile(path, Buffer.from("whole"));
    expect(readFileSync(path, "utf8")).toBe("whole");
  },
);

test("a disk that fails while a folder is flushed is no such case", () => {
  const path = join(newFolder(), "a");
  writeFileSync(path, "");
  foldersAnswer("EIO");
  expect(() => writeNewFile(path, Buffer.from("whole"))).toThrow("EIO");
});
