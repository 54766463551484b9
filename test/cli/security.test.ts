import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const ESC = "\u001b[2J\u001b]0;owned\u0007";
const TURNED = "\u202Egnp.exe\u2066";

describe("what a command prints", { timeout: 60_000 }, () => {
  test("of notes, causes, names and files obeys no terminal and turns no words round", async () => {
    const shell = commandLine();
    createDemoStudy(join(shell.folder, "s"), () => false);
    const printed: string[] = [];
    const run = async (...words: string[]): Promise<void> => {
      const { out, notes } = await shell.run(...words);
      printed.push(out, notes);
    };
    await run("incident", "s", "wire_stuck", "--cause", `spatter ${ESC}`, "--note", TURNED);
    await run("log", "s", "--note", `first ${ESC}${TURNED}`);
    await run("build", "s", `ring ${ESC}`, "--start");
    writeFileSync(join(shell.folder, "r.csv"), `coupon,${ESC}current [A]\nC${TURNED},${ESC}\n`);
    await run("import", "s", "r.csv");
    await run("fit", `s${ESC}`);
    for (const words of [
      ["incidents", "s"],
      ["status", "s"],
      ["export", "s", "--format", "pdf"],
    ])
      await run(...words);
    expect(printed.join("")).not.toMatch(/[^\P{Cc}\n\t]|\p{Bidi_Control}/u);
    expect(printed.join("")).toContain("\\u001b[2J");
  });
});

test("an attachment named by a path of any system is no entry, and is not looked at", async () => {
  const { appendEntries } = await import("../../lib/study/index.js");
  const shell = commandLine();
  const study = createDemoStudy(join(shell.folder, "s"), () => false);
  for (const file of ["../../etc/passwd", "/etc/passwd", "..", "a\\..\\b"]) {
    const entry = { kind: "attached", file, sha256: "0".repeat(64) } as const;
    expect(() => appendEntries(study, [entry])).toThrow(/without a path/);
  }
});

/** Ways to speak to a network, to run another program, or to make code of a text. */
const reaching =
  /\bfetch\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon|node:(?:https?|http2|net|tls|dgram|dns|child_process|vm)\b|\beval\(|new Function\(/;

test("no file of the library speaks to a network, starts a program or runs a text, but for the bench page and its server", () => {
  const lib = fileURLToPath(new URL("../../lib", import.meta.url));
  const found = readdirSync(lib, { recursive: true, encoding: "utf8" })
    .filter((file) => file.endsWith(".ts"))
    .flatMap((file) =>
      readFileSync(join(lib, file), "utf8")
        .split("\n")
        .filter(
          (line) => reaching.test(line) && !/^\s*(?:\*|\/\/)/.test(line) && !line.startsWith("import type"),
        )
        .map((line) => `${file}: ${line.trim()}`),
    )
    // The page asks the server that it came from, which its policy holds it to.
    .filter((line) => !/^bench\/page\/(?:worker|talk)\.ts: .*fetch\(/.test(line))
    // Made of numbers, operators and places of parsed names; nothing of the text itself is in it.
    .filter((line) => !/^regression\/formula\/formula-compile\.ts: .*new Function\(/.test(line));
  expect(found).toEqual([]);
});
