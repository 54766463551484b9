import { cpSync, mkdtempSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { expect, test } from "vitest";
import { verifyJournal } from "../../../lib/study/journal/index.js";
import {
  appendEntries,
  attachFile,
  createStudy,
  openStudy,
  recoverStudy,
} from "../../../lib/study/record/index.js";

const definition = {
  schema: "beadbench/study/1",
  name: "to be damaged, invented",
  process: "141",
  factors: [{ name: "current", unit: "A", low: 100, high: 200 }],
  responses: [{ name: "bead_width", unit: "mm" }],
};
const clock = () => new Date("2026-03-01T08:00:00Z");

/** A study with a group of entries, a correction, a void and an attachment. */
function whole(): string {
  const folder = join(mkdtempSync(join(tmpdir(), "beadbench-recover-")), "study");
  let study = createStudy(folder, definition as never);
  const log = (coupon: string, width: number) =>
    ({ kind: "logged", coupon, values: { current: 150, bead_width: width } }) as const;
  study = appendEntries(study, [log("A", 5), log("B", 6), log("C", 7)], { clock });
  study = appendEntries(study, [log("D", 8)], { clock });
  study = appendEntries(
    study,
    [{ kind: "corrected", entry: 2, values: { bead_width: 6.5 }, reason: "typed" }],
    {
      clock,
    },
  );
  study = appendEntries(study, [log("E", 9)], { clock });
  writeFileSync(join(folder, "..", "photo.txt"), "a photo");
  attachFile(study, join(folder, "..", "photo.txt"), { clock, coupon: "E" });
  symlinkSync("/etc/passwd", join(folder, "attachments", "link"));
  return folder;
}
const source = whole();
const linesOf = (folder: string): string[] =>
  readFileSync(join(folder, "journal.jsonl"), "utf8").split("\n").slice(0, -1);

/** A copy of the study whose journal is these lines. */
function damaged(text: string): string {
  const folder = join(mkdtempSync(join(tmpdir(), "beadbench-damaged-")), "study");
  cpSync(source, folder, { recursive: true });
  writeFileSync(join(folder, "journal.jsonl"), text);
  return folder;
}
const textOf = (lines: readonly string[]): string => lines.map((line) => `${line}\n`).join("");
function recovered(folder: string) {
  const before = readFileSync(join(folder, "journal.jsonl"));
  const into = join(folder, "..", "anew");
  const recovery = recoverStudy(folder, into, { clock });
  expect(readFileSync(join(folder, "journal.jsonl")).equals(before)).toBe(true);
  expect(verifyJournal(into).faults).toEqual([]);
  return recovery;
}
const widths = (study: ReturnType<typeof openStudy>) =>
  study.coupons.map(({ id, results }) => [id, (results.bead_width as { value: number } | undefined)?.value]);

test("recoverStudy carries a sound study over, with its hashes, and follows no link out of it", () => {
  const { study, kept, lost } = recovered(damaged(textOf(linesOf(source))));
  expect([kept, lost]).toEqual([7, []]);
  expect(linesOf(study.folder).slice(0, 7)).toEqual(linesOf(source));
  expect(readFileSync(join(study.folder, "attachments", "photo.txt"), "utf8")).toBe("a photo");
  expect(() => readFileSync(join(study.folder, "attachments", "link"))).toThrow();
});

test("recoverStudy leaves a changed entry out, with what corrects it, and says so in the journal", () => {
  const lines = linesOf(source);
  lines[1] = lines[1]!.replace('"bead_width":6', '"bead_width":9');
  const { study, kept, lost } = recovered(damaged(textOf(lines)));
  expect(kept).toBe(5);
  expect(lost.map(({ seq }) => seq)).toEqual([2, 5]);
  expect(widths(study)).toEqual([
    ["A", 5],
    ["C", 7],
    ["D", 8],
    ["E", 9],
  ]);
  expect(study.notes.at(-1)?.text).toMatch(
    /^Recovered from study: 5 entries carried over, 2 not: line 2, entry 2/,
  );
});

test("recoverStudy puts moved and repeated lines back in their order, and corrections follow their entries", () => {
  const [a, b, c, d, ...rest] = linesOf(source);
  const { study, lost } = recovered(damaged(textOf([d!, b!, b!, c!, ...rest, c!])));
  expect(lost).toEqual([]);
  expect(widths(study)).toEqual([
    ["B", 6.5],
    ["C", 7],
    ["D", 8],
    ["E", 9],
  ]);
  expect(a).toBeDefined();
});

test("recoverStudy never writes into a folder that exists", () => {
  expect(() => recoverStudy(source, source)).toThrow(/exists already; choose a folder that does not/);
});

test("whatever bytes of a journal are hit, recoverStudy carries over every entry that is sound", () => {
  const bytes = readFileSync(join(source, "journal.jsonl"));
  const hit = fc.record({ at: fc.nat(bytes.length - 1), bit: fc.nat(7) });
  fc.assert(
    fc.property(fc.array(hit, { minLength: 1, maxLength: 3 }), fc.nat(40), (hits, cut) => {
      const spoilt = Buffer.from(bytes.subarray(0, bytes.length - cut));
      for (const { at, bit } of hits) if (at < spoilt.length) spoilt[at]! ^= 1 << bit;
      const folder = damaged("");
      writeFileSync(join(folder, "journal.jsonl"), spoilt);
      const sound = new Set(linesOf(source).filter((line) => spoilt.includes(`${line}\n`)));
      const { study, kept } = recovered(folder);
      const [, corrected] = [linesOf(source)[1]!, linesOf(source)[4]!];
      const orphan = sound.has(corrected) && !sound.has(linesOf(source)[1]!) ? 1 : 0;
      expect(kept).toBeGreaterThanOrEqual(sound.size - orphan);
      expect(openStudy(study.folder).integrity.filter(({ code }) => code.startsWith("journal"))).toEqual([]);
    }),
    { numRuns: 60, seed: 18 },
  );
});
