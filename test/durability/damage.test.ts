import { cpSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { appendEntries, openStudy, verifyJournal } from "../../lib/study/index.js";
import { mergeStudy, recoverStudy } from "../../lib/study/share/index.js";
import { fixedClock as clock, newFolder } from "../study/support.js";
import { flipEveryBit, shuffleLines } from "./damage.js";
import { makeLongStudy } from "./long-study.js";

const ENTRIES = 12;
const folder = join(newFolder(), "study");
makeLongStudy(folder, ENTRIES);
const sound = readFileSync(join(folder, "journal.jsonl"));
const lines = sound.toString("utf8").trimEnd().split("\n");

/** A copy of the study with this for a journal. */
function having(journal: Buffer | string): string {
  const copy = join(newFolder(), "study");
  cpSync(folder, copy, { recursive: true });
  writeFileSync(join(copy, "journal.jsonl"), journal);
  return copy;
}
const note = [{ kind: "note", text: "afterwards" }] as const;

test.each([
  ["Windows ends of line", sound.toString("utf8").replaceAll("\n", "\r\n")],
  ["a byte order mark before it", `\uFEFF${sound.toString("utf8")}`],
  ["no end of the last line", sound.subarray(0, -1)],
  ["Windows ends of line but for the last", sound.toString("utf8").trimEnd().replaceAll("\n", "\r\n")],
])("a journal that an editor or a sync service gave %s is read and written as before", (_case, journal) => {
  const copy = having(journal);
  const study = openStudy(copy);
  expect([study.integrity, study.entries.length]).toEqual([[], ENTRIES]);
  appendEntries(study, note);
  expect(verifyJournal(copy)).toMatchObject({ faults: [], entries: ENTRIES + 1 });
  expect(readdirSync(copy).filter((name) => name.includes("torn"))).toEqual([]);
});

describe("damage at the end of a journal", () => {
  const hit = (line: string): string => line.replace("{", "[");

  test("is damage: it was written whole, so it stays where it is and is told", () => {
    const journal = `${[...lines.slice(0, -1), hit(lines.at(-1)!)].join("\n")}\n`;
    const copy = having(journal);
    expect(openStudy(copy).integrity.map(({ code }) => code)).toEqual(["journal-unreadable"]);
    appendEntries(openStudy(copy), note);
    expect(readFileSync(join(copy, "journal.jsonl"), "utf8").startsWith(journal)).toBe(true);
    expect(verifyJournal(copy).faults).toMatchObject([{ line: ENTRIES, code: "unreadable" }]);
    const { kept, lost } = recoverStudy(copy, join(copy, "..", "anew"), { clock });
    expect([kept, lost.map(({ line }) => line)]).toEqual([ENTRIES, [ENTRIES]]);
  });

  test("of all lines is told line by line, and none is moved out of the way", () => {
    const journal = `${lines.map(hit).join("\n")}\n`;
    const copy = having(journal);
    expect(openStudy(copy).integrity).toHaveLength(ENTRIES);
    expect(readFileSync(join(copy, "journal.jsonl"), "utf8")).toBe(journal);
    appendEntries(openStudy(copy), note);
    expect(verifyJournal(copy).faults).toHaveLength(ENTRIES);
  });

  test("that hits a merge leaves what it brought, which is recovered", () => {
    const [own, other] = [having(sound), having(sound)];
    const log = (width: number) =>
      ({ kind: "logged", values: { current: 120, travel_speed: 100, bead_width: width } }) as const;
    appendEntries(openStudy(own), [log(5)], { clock });
    appendEntries(openStudy(other), [log(6), log(7)], { clock });
    const whole = mergeStudy(own, other, { clock }).study;
    const path = join(own, "journal.jsonl");
    const merged = readFileSync(path, "utf8").trimEnd().split("\n");
    writeFileSync(path, `${[...merged.slice(0, -1), hit(merged.at(-1)!)].join("\n")}\n`);
    const damaged = openStudy(own);
    expect(damaged.integrity.map(({ code }) => code)).toContain("journal-unreadable");
    expect(damaged.coupons.map(({ id }) => id)).toEqual(whole.coupons.map(({ id }) => id));
    const { study } = recoverStudy(own, join(own, "..", "anew"), { clock });
    expect(study.coupons.map(({ id, results }) => [id, results])).toEqual(
      whole.coupons.map(({ id, results }) => [id, results]),
    );
    expect(verifyJournal(study.folder).faults).toEqual([]);
  });
});

// `npm run endure` hits every byte, and more journals.
test("bits of a journal that are flipped are located to their line, or change nothing that is read", () => {
  const { tried, faults } = flipEveryBit(ENTRIES, 11);
  expect(faults).toEqual([]);
  expect(tried).toBeGreaterThan(300);
});

test("lines moved, repeated and taken out: what is left is recovered, once, and again", () => {
  expect(shuffleLines(6, 18).faults).toEqual([]);
});
