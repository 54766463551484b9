import { createHash } from "node:crypto";
import fs, { cpSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { hostname, uptime } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import {
  appendEntries,
  attachFile,
  canonicalJson,
  correctionOf,
  type Entry,
  type EntryBody,
  openStudy,
  type Study,
  verifyAttachments,
  verifyJournal,
} from "../../../lib/study/index.js";
import { mergeStudy } from "../../../lib/study/share/index.js";
import { faultsOf, fixedClock, newFolder, newStudy } from "../support.js";
import { copyOf, settings } from "./copies.js";

/** Calls of the file system left before the computer loses its power; the write at which it does comes half. */
const power = { left: Number.POSITIVE_INFINITY };
const cut =
  <T extends (...args: never[]) => unknown>(call: T, half?: (...args: Parameters<T>) => void) =>
  (...args: Parameters<T>): unknown => {
    if (power.left-- > 0) return call(...args);
    if (power.left === -1) half?.(...args);
    throw Object.assign(new Error("power lost"), { code: "POWER" });
  };
const { writeSync, openSync, fsyncSync, renameSync, ftruncateSync, mkdirSync, unlinkSync } = fs;
const whole = { writeSync, openSync, fsyncSync, renameSync, ftruncateSync, mkdirSync, unlinkSync };
/** Puts the file system on a supply that may fail. Test files share a process, so each takes it off again. */
beforeAll(() => {
  Object.assign(fs, {
    ...Object.fromEntries(Object.entries(whole).map(([name, call]) => [name, cut(call as never)])),
    writeSync: cut(
      writeSync as (file: number, bytes: Buffer, from?: number) => number,
      (file, bytes, from = 0) => {
        writeSync(file, bytes, from, Math.floor((bytes.length - from) / 2));
      },
    ),
  });
  syncBuiltinESMExports();
});
afterAll(() => {
  Object.assign(fs, whole);
  syncBuiltinESMExports();
});
afterEach(() => {
  power.left = Number.POSITIVE_INFINITY;
});

const clock = fixedClock;
const on = (folder: string, day: number, ...bodies: readonly EntryBody[]): Study =>
  appendEntries(openStudy(folder), bodies, { clock: () => new Date(Date.UTC(2026, 2, day, 8)) });
const bead = (width: number): EntryBody => ({ kind: "logged", values: { ...settings, bead_width: width } });
const journalOf = (folder: string): string => readFileSync(join(folder, "journal.jsonl"), "utf8");

/** Two copies of a study with one planned and one logged coupon. */
function copies(): readonly [string, string] {
  const { folder } = newStudy();
  on(folder, 1, { kind: "planned", values: settings }, bead(5));
  return [folder, copyOf(folder)];
}

describe("of two copies that gave one number to two coupons", () => {
  test("the coupon begun earlier keeps it, the other is told apart, and each keeps what was said of it", () => {
    const [a, b] = copies();
    on(a, 3, bead(5.3));
    on(b, 2, bead(4.2));
    on(b, 3, { kind: "note", coupon: "C003", text: "dark" });
    const { study, renamed, coupons, brought } = mergeStudy(a, b, { clock });
    const other = renamed[0]!.now;
    expect(other).toMatch(/^C003-[0-9a-f]{6}$/);
    expect(renamed).toMatchObject([{ what: "coupon", was: "C003", now: other }]);
    expect([brought, coupons]).toEqual([2, ["C003"]]);
    const widths = Object.fromEntries(study.coupons.map(({ id, results }) => [id, results.bead_width]));
    expect(widths).toMatchObject({ C003: { value: 4.2 }, [other]: { value: 5.3 } });
    expect(study.coupons.find(({ id }) => id === "C003")?.notes).toEqual(["dark"]);
    expect(study.coupons.find(({ id }) => id === other)?.notes[0]).toMatch(
      /numbered C003 where it was begun/,
    );
    // Either name is one to go on with, and the next number is free on both.
    const after = on(a, 5, { kind: "logged", coupon: other, values: { bead_height: 2 } }, bead(6));
    expect(after.coupons.map(({ id }) => id)).toEqual(["C001", "C002", "C003", other, "C004"]);
    expect(after.coupons[3]?.results).toMatchObject({
      bead_width: { value: 5.3 },
      bead_height: { value: 2 },
    });
  });

  test("one that was entered twice is named until one of the two is voided", () => {
    const [a, b] = copies();
    on(a, 2, bead(5.3));
    on(b, 3, bead(5.3));
    const { findings, renamed } = mergeStudy(a, b, { clock });
    expect(findings).toMatchObject([{ code: "copies-coupon-twice", about: ["C003", renamed[0]!.now] }]);
    const after = on(a, 4, { kind: "voided", coupon: renamed[0]!.now, reason: "entered twice" });
    expect(after.integrity).toEqual([]);
  });
});

describe("what copies said differently of one thing", () => {
  test("is told until a correction that knew of both settles it: values of a coupon", () => {
    const [a, b] = copies();
    on(a, 2, { kind: "logged", coupon: "C001", values: { bead_width: 5.1, sound_bead: true } });
    on(b, 3, { kind: "logged", coupon: "C001", values: { bead_width: 5.4, bead_height: 2 } });
    const { study, findings } = mergeStudy(a, b, { clock });
    expect(findings.map(({ code, message }) => [code, message])).toEqual([
      [
        "copies-logged-apart",
        "coupon C001 was logged on two copies of the study: bead_width = 5.1 (entry 3) and 5.4 (entry 4); the later stands",
      ],
    ]);
    expect(study.coupons[0]?.results).toMatchObject({
      bead_width: { value: 5.4 },
      bead_height: { value: 2 },
    });
    expect(openStudy(a).integrity).toEqual(findings);
    const settled = on(
      a,
      4,
      correctionOf(openStudy(a), "C001", { values: { bead_width: 5.2 }, reason: "measured again" }),
    );
    expect(settled.integrity).toEqual([]);
    expect(settled.coupons[0]?.results).toMatchObject({ bead_width: { value: 5.2 } });
  });

  test("is told until a correction that knew of both settles it: corrections of an entry", () => {
    const [a, b] = copies();
    for (const [folder, day, width] of [
      [a, 2, 5.5],
      [b, 3, 5.7],
    ] as const)
      on(folder, day, { kind: "corrected", entry: 2, values: { bead_width: width }, reason: `day ${day}` });
    const { findings } = mergeStudy(a, b, { clock });
    expect(findings[0]?.message).toBe(
      "entry 2 was corrected on two copies of the study: bead_width to 5.5 mm (entry 3: day 2) and to 5.7 mm (entry 4: day 3); the later stands",
    );
    const settled = on(a, 4, { kind: "corrected", entry: 2, values: { bead_width: 5.6 }, reason: "again" });
    expect(settled.integrity).toEqual([]);
  });

  test("is nothing where they said the same, or spoke of other columns", () => {
    const [a, b] = copies();
    on(a, 2, { kind: "logged", coupon: "C001", values: { bead_width: 5.1 } });
    on(b, 3, { kind: "logged", coupon: "C001", values: { bead_width: 5.1, bead_height: 2 } });
    expect(mergeStudy(a, b, { clock }).findings).toEqual([]);
  });

  test("is told: a void here of what was logged there, and a build followed on both", () => {
    const [a, b] = copies();
    on(a, 2, { kind: "build", build: "ring-1", event: "started" });
    cpSync(a, b, { recursive: true });
    on(
      a,
      3,
      { kind: "voided", coupon: "C001", reason: "dropped" },
      { kind: "build", build: "ring-1", event: "progress", layer: 4 },
    );
    on(
      b,
      4,
      { kind: "logged", coupon: "C001", values: { bead_width: 5 } },
      { kind: "build", build: "ring-1", event: "progress", layer: 2 },
    );
    const { study, findings } = mergeStudy(a, b, { clock });
    expect(findings.map(({ code }) => code)).toEqual(["copies-voided-apart", "copies-build-apart"]);
    expect(study.coupons[0]?.state).toBe("voided");
    expect(
      on(a, 5, { kind: "build", build: "ring-1", event: "progress", layer: 5 }).integrity.map(
        ({ code }) => code,
      ),
    ).toEqual(["copies-voided-apart"]);
  });

  test("a study.json that differs is told place by place, and goes by the first only when asked", () => {
    const [a, b] = copies();
    const path = join(b, "study.json");
    const json = JSON.parse(readFileSync(path, "utf8"));
    json.factors[0].high = 170;
    json.blocks.push("cylinder");
    writeFileSync(path, JSON.stringify(json));
    on(b, 2, bead(5.5));
    const [refusal] = faultsOf(() => mergeStudy(a, b, { clock }));
    expect(refusal).toContain(
      '  factors.current.high: 150 here, 170 there\n  blocks.3: absent here, "cylinder" there\n',
    );
    expect(journalOf(a)).not.toContain("merged");
    expect(mergeStudy(a, b, { clock, dry: true }).definition).toHaveLength(2);
    expect(mergeStudy(a, b, { clock, keepDefinition: true }).study.coupons).toHaveLength(3);
    const [kept] = readdirSync(join(a, "attachments"));
    expect(readFileSync(join(a, "attachments", kept!))).toEqual(readFileSync(path));
  });
});

describe("attachments", () => {
  const photo = (folder: string, text: string): void => {
    const path = join(newFolder(), "bead.jpg");
    writeFileSync(path, text);
    attachFile(openStudy(folder), path, { clock, coupon: "C001" });
  };

  test("of one name and other bytes are both kept, and plans of builds find theirs", () => {
    const [a, b] = copies();
    photo(a, "ours");
    photo(b, "theirs");
    on(b, 4, { kind: "build", build: "ring-1", event: "started", plan: "bead.jpg" });
    const { attachments, study } = mergeStudy(a, b, { clock });
    expect(attachments).toMatchObject([{ was: "bead.jpg" }]);
    expect(readFileSync(join(a, "attachments", attachments[0]!.file), "utf8")).toBe("theirs");
    expect(readFileSync(join(a, "attachments", "bead.jpg"), "utf8")).toBe("ours");
    expect(verifyAttachments(study)).toEqual([]);
    expect(study.buildSteps[0]?.plan).toBe(attachments[0]!.file);
    // A third copy gets both, from under their names in the second.
    const c = copyOf(copies()[0]);
    cpSync(b, c, { recursive: true });
    expect(verifyAttachments(mergeStudy(c, a, { clock }).study)).toEqual([]);
  });

  test("that are missing there are told, and the entry comes without", () => {
    const [a, b] = copies();
    photo(b, "theirs");
    rmSync(join(b, "attachments", "bead.jpg"));
    const { findings, brought } = mergeStudy(a, b, { clock });
    expect([brought, findings.map(({ code }) => code)]).toEqual([1, ["attachment-not-brought"]]);
  });

  test.each(["../../stolen.txt", "a/../../x", "/etc/passwd", "C:\\x", "..\\x", "a//b"])(
    "that would be %s are refused",
    (file) => {
      const [a, b] = copies();
      // No writer of ours would write it: the line is forged, with sound hashes.
      const { seq, hash: prev } = JSON.parse(journalOf(b).trimEnd().split("\n").at(-1)!) as Entry;
      const line = {
        seq: seq + 1,
        time: "2026-03-02T08:00:00Z",
        kind: "attached",
        file,
        sha256: "0".repeat(64),
        prev,
      };
      const hash = createHash("sha256").update(canonicalJson(line)).digest("hex");
      writeFileSync(join(b, "journal.jsonl"), `${journalOf(b)}${JSON.stringify({ ...line, hash })}\n`);
      expect(faultsOf(() => mergeStudy(a, b, { clock }))[0]).toMatch(
        /line 3, entry 3: is of no kind this version knows/,
      );
      expect(journalOf(a)).not.toContain("merged");
    },
  );
});

describe("a merge is refused", () => {
  test("of studies that are no copies of each other, with what to do instead", () => {
    const { folder: other } = newStudy({ name: "another" });
    const [a] = copies();
    expect(faultsOf(() => mergeStudy(a, other))[0]).toMatch(
      /no copies of one study.*name: "example" here, "another" there.*beadbench import/,
    );
    expect(faultsOf(() => mergeStudy(a, a))[0]).toMatch(
      /is the study itself; name the folder of another copy/,
    );
    expect(faultsOf(() => mergeStudy(a, newFolder()))[0]).toMatch(/there is no study in/);
  });

  test.each(["changed", "taken out"])("where a line there was %s, also one it carries", (how) => {
    const [a, b] = copies();
    const c = copyOf(a);
    on(a, 2, bead(5.5), bead(5.6));
    on(b, 2, bead(5.7));
    mergeStudy(b, a, { clock });
    const lines = journalOf(b).split("\n");
    const at = lines.findIndex((line) => line.includes("5.5"));
    writeFileSync(
      join(b, "journal.jsonl"),
      lines
        .flatMap((line, i) => (i !== at ? [line] : how === "changed" ? [line.replace("5.5", "5.9")] : []))
        .join("\n"),
    );
    expect(verifyJournal(b).faults.length).toBeGreaterThan(0);
    expect(faultsOf(() => mergeStudy(c, b))[0]).toMatch(/^journal\.jsonl: line \d/);
    expect(faultsOf(() => mergeStudy(b, c)).length).toBeGreaterThan(0);
  });

  test("while another process writes", () => {
    const [a, b] = copies();
    on(b, 2, bead(5.5));
    writeFileSync(
      join(a, "journal.lock"),
      JSON.stringify({ pid: process.pid, host: hostname(), uptime: uptime(), token: "x", time: "t" }),
    );
    expect(faultsOf(() => mergeStudy(a, b, { waitMs: 30 }))[0]).toMatch(/is being written by process/);
    expect(mergeStudy(a, b, { dry: true }).brought).toBe(1);
  });
});

test("a dry merge tells what a real one brings and writes nothing", () => {
  const [a, b] = copies();
  on(b, 2, bead(5.5));
  const before = journalOf(a);
  const dry = mergeStudy(a, b, { clock, dry: true });
  expect(journalOf(a)).toBe(before);
  expect(readdirSync(a)).not.toContain("journal.lock");
  expect(mergeStudy(a, b, { clock })).toEqual(dry);
});

test("an unfinished end of the other journal stays there and is told", () => {
  const [a, b] = copies();
  on(b, 2, bead(5.5));
  writeFileSync(join(b, "journal.jsonl"), `${journalOf(b)}{"seq":4,"ti`);
  expect(mergeStudy(a, b, { clock }).findings.map(({ code }) => code)).toEqual(["journal-torn"]);
  expect(journalOf(b).endsWith('{"seq":4,"ti')).toBe(true);
});

test("a study that was copied before its first entry is one with its copy", () => {
  const { folder: a } = newStudy();
  const b = copyOf(a);
  on(b, 2, bead(5.5));
  expect(mergeStudy(a, b, { clock }).study.coupons).toHaveLength(1);
  expect(on(a, 3, bead(5.6)).coupons).toHaveLength(2);
});

test("power lost at any moment leaves the record as it was or whole, and merging again completes it", () => {
  const [a, b] = copies();
  const path = join(newFolder(), "bead.jpg");
  writeFileSync(path, "a picture");
  on(b, 2, bead(5.5), bead(5.6));
  attachFile(openStudy(b), path, { clock });
  const before = openStudy(a).entries;
  const merged = openStudy(mergedCopy(a, b)).entries;
  let cuts = 0;
  for (let left = 0; ; left++) {
    const folder = join(newFolder(), "own");
    cpSync(a, folder, { recursive: true });
    power.left = left;
    let done = false;
    try {
      mergeStudy(folder, b, { clock });
      done = true;
    } catch (error) {
      expect((error as Error).message).toMatch(/power lost/);
    }
    power.left = Number.POSITIVE_INFINITY;
    if (done) break;
    cuts++;
    // The process is gone, so its lock counts for nothing.
    for (const file of readdirSync(folder)) if (file.startsWith("journal.lock")) rmSync(join(folder, file));
    const dryLook = mergeStudy(folder, b, { dry: true });
    expect([0, 3]).toContain(dryLook.brought);
    const stands = openStudy(folder);
    const told = stands.entries.filter((entry) => entry.kind !== "note");
    expect([before, merged]).toContainEqual(told);
    for (const file of readdirSync(join(folder, "attachments")))
      if (!file.endsWith(".part"))
        expect(readFileSync(join(folder, "attachments", file), "utf8")).toBe("a picture");
    const again = mergeStudy(folder, b, { clock });
    expect(again.study.entries.filter((entry) => entry.kind !== "note").map(({ hash }) => hash)).toEqual(
      merged.map(({ hash }) => hash),
    );
    expect(verifyAttachments(again.study)).toEqual([]);
    expect(verifyJournal(folder).faults).toEqual([]);
  }
  expect(cuts).toBeGreaterThan(10);
});

function mergedCopy(a: string, b: string): string {
  const folder = copyOf(a);
  mergeStudy(folder, b, { clock });
  return folder;
}
