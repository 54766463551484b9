import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import {
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { writeText } from "../../lib/cli/files.js";
import type { CommandIo } from "../../lib/cli/io.js";
import { commandLine } from "./run.js";

const folder = mkdtempSync(join(tmpdir(), "beadbench-output-"));
const notes: string[] = [];
const io: CommandIo = {
  out: () => {},
  note: (text) => notes.push(text),
  readInput: async () => "",
  clock: () => new Date("2026-04-01T08:00:00Z"),
  untilStopped: async () => {},
  folder,
};

test("a device stays a device", () => {
  writeText(io, "/dev/null", "text");
  expect(statSync("/dev/null").isCharacterDevice()).toBe(true);
});

test("a pipe is written through, and stays", async () => {
  const pipe = join(folder, "pipe");
  execFileSync("mkfifo", [pipe]);
  const reader = spawn("cat", [pipe]);
  let got = "";
  reader.stdout.on("data", (data) => {
    got += String(data);
  });
  const ended = once(reader, "close");
  writeText(io, "pipe", "by pipe");
  await ended;
  expect(got).toBe("by pipe");
  expect(lstatSync(pipe).isFIFO()).toBe(true);
});

test("a link stays a link, and what it leads to holds the text", () => {
  const target = join(folder, "target.csv");
  writeFileSync(target, "old");
  symlinkSync(target, join(folder, "link.csv"));
  writeText(io, "link.csv", "new");
  expect(lstatSync(join(folder, "link.csv")).isSymbolicLink()).toBe(true);
  expect(readFileSync(target, "utf8")).toBe("new");
});

test("a folder is refused by its name, and nothing is left beside it", () => {
  mkdirSync(join(folder, "page.html"));
  expect(() => writeText(io, "page.html", "x")).toThrow(
    /cannot write page\.html: it is a folder; name a file/,
  );
  expect(readdirSync(folder).filter((name) => name.endsWith(".part"))).toEqual([]);
});

test("a folder that is not there is made, and an old file is replaced whole", () => {
  writeText(io, "deep/er/a.txt", "one");
  writeText(io, "deep/er/a.txt", "two");
  expect(readFileSync(join(folder, "deep/er/a.txt"), "utf8")).toBe("two");
  expect(readdirSync(join(folder, "deep/er"))).toEqual(["a.txt"]);
});

test.each([
  ["a folder", "report.html", /cannot write report\.html: it is a folder; name a file/],
  [
    "a place below a file",
    "study.json/report.html",
    /cannot write study\.json\/report\.html: .*study\.json is no folder/,
  ],
])("%s is refused before any work is done for it", async (_what, html, told) => {
  const shell = commandLine();
  mkdirSync(join(shell.folder, "report.html"));
  writeFileSync(join(shell.folder, "study.json"), "this would be read first");
  const { status, notes } = await shell.run("report", ".", "--html", html);
  expect(notes).toMatch(told);
  expect(status).toBe(1);
});
