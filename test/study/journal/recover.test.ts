import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
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
  expect(lost.map(({ message }) => message)).toEqual(["1 entry of which no line is left: 1"]);
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

test("of a group that a half copy cut off, recoverStudy carries over what stands whole, and tells of the rest", () => {
  const [first, second] = linesOf(source);
  const text = `${first}\n${second}\n{"seq":3,"time":"20`;
  const recovery = recovered(damaged(text));
  expect(recovery.study.coupons.map(({ id }) => id)).toEqual(["A", "B"]);
  expect(recovery.lost.map(({ message }) => message)).toEqual([
    `the end of the journal, an unfinished write of ${text.length} bytes, but for 2 entries of it that stood whole`,
  ]);
});

test("an end that was set aside is named by its file, with what stands whole in it, and recoverStudy tells of it", () => {
  const folder = damaged(`${linesOf(source).slice(0, 2).join("\n")}\n`);
  const [finding] = openStudy(folder, { clock }).integrity;
  expect(finding?.message).toMatch(
    /unfinished write after entry 0, of which 2 entries stand whole: .* or the file was cut short since/,
  );
  const [, name] = /look into study\/(journal\.torn-after-0-[0-9a-f]{8}\.txt)/.exec(finding!.advice!)!;
  expect(existsSync(join(folder, name!))).toBe(true);
  const recovery = recovered(folder);
  expect(recovery.lost).toHaveLength(1);
  expect(recovery.lost[0]?.message).toContain(`${name} as an unfinished write, with 2 whole entries`);
});

test("entries of which no line is left are counted as lost, repeated and moved ones are not", () => {
  const lines = linesOf(source);
  const recovery = recovered(damaged(textOf(lines.filter((_, i) => i !== 3))));
  expect(recovery.lost.map(({ message }) => message)).toEqual(["1 entry of which no line is left: 4"]);
  const moved = [...lines.slice(0, 3), lines[4]!, lines[3]!, ...lines.slice(5), lines[3]!];
  expect(recovered(damaged(textOf(moved))).lost).toEqual([]);
});

test("a folder that a recovery left when it was cut short is told as that", () => {
  const folder = damaged(textOf(linesOf(source)));
  mkdirSync(join(folder, "..", "anew", "attachments"), { recursive: true });
  expect(() => recovered(folder)).toThrow(/holds no study.json\), delete it, or choose another folder/);
});
