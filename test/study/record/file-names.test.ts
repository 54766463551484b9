import { cpSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { expect, test } from "vitest";
import { portableName } from "../../../lib/study/journal/index.js";
import {
  appendEntries,
  attachFile,
  journalCopies,
  openStudy,
  type Study,
  verifyAttachments,
} from "../../../lib/study/record/index.js";
import { mergeStudy } from "../../../lib/study/share/index.js";
import { fixedClock as clock, newFolder, newStudy } from "../support.js";

// Microsoft, Naming Files, Paths, and Namespaces: reserved signs, reserved names with and without an ending, blanks and dots at the end.
test.each([
  ["CON", "_CON"],
  ["nul.txt", "_nul.txt"],
  ["com1.jpg", "_com1.jpg"],
  ["LPT9", "_LPT9"],
  ["COM\u00b9.log", "_COM\u00b9.log"],
  ["aux .png", "_aux .png"],
  ["console.txt", "console.txt"],
  ["bead. ", "bead"],
  ["bead...", "bead"],
  [" bead.jpg", "bead.jpg"],
  ["..", "file"],
  ["wall 3:1?.jpg", "wall 3_1_.jpg"],
  ["C:\\pictures\\a.jpg", "C__pictures_a.jpg"],
  ["\\\\server\\share\\a.jpg", "__server_share_a.jpg"],
  ['../a|b<c>"d*.csv', ".._a_b_c__d_.csv"],
  ["tab\there\u0000.txt", "tab_here_.txt"],
  ["nah\u0065\u0301.jpg", "nah\u00e9.jpg"],
])("portableName makes %j a name that every system takes", (name, expected) => {
  expect(portableName(name)).toBe(expected);
});

test("portableName leaves its own names as they are", () => {
  fc.assert(
    fc.property(fc.string({ unit: "binary" }), (name) => {
      const once = portableName(name);
      expect(portableName(once)).toBe(once);
      expect(once).toMatch(/^[^<>:"/\\|?*\p{Cc}\s](?:[^<>:"/\\|?*\p{Cc}]*[^<>:"/\\|?*\p{Cc}\s.])?$/u);
    }),
    { seed: 6, numRuns: 500 },
  );
});

/** A study with a file of this name and text attached. */
function attached(study: Study, name: string, text: string): Study {
  const place = newFolder();
  writeFileSync(join(place, name), text);
  return attachFile(study, join(place, name), { clock });
}
const filesOf = (study: Study): readonly string[] =>
  study.entries.flatMap((entry) => (entry.kind === "attached" ? [entry.file] : []));
const distinct = (names: readonly string[]): number =>
  new Set(names.map((name) => name.normalize("NFC").toLowerCase())).size;

test.each([
  ["case", "Bead.JPG", "bead.jpg"],
  ["the form of a letter with a mark", "na\u0308he.jpg", "n\u00e4he.jpg"],
  ["a blank at the end", "bead.jpg", "bead.jpg "],
])(
  "files whose names differ only in %s are kept apart where a system takes them for one",
  (_case, one, two) => {
    const study = attached(attached(newStudy(), one, "one"), two, "two");
    const files = filesOf(study);
    expect(distinct(files)).toBe(2);
    expect(verifyAttachments(study)).toEqual([]);
    expect(files.map((file) => readFileSync(join(study.folder, "attachments", file), "utf8"))).toEqual([
      "one",
      "two",
    ]);
    expect(readdirSync(join(study.folder, "attachments"))).toHaveLength(2);
  },
);

test("files of two copies whose names differ only in case are kept apart by a merge", () => {
  const own = appendEntries(newStudy(), [{ kind: "note", text: "shared" }], { clock });
  const other = join(newFolder(), "other");
  cpSync(own.folder, other, { recursive: true });
  attached(own, "Bead.JPG", "one");
  attached(openStudy(other), "bead.jpg", "two");
  const { study } = mergeStudy(own.folder, other, { clock });
  expect(distinct(filesOf(study))).toBe(2);
  expect(verifyAttachments(study)).toEqual([]);
});

test("a name taken by half a file, of a process that was killed, is filled again", () => {
  const study = attached(newStudy(), "bead.jpg", "one");
  const names = filesOf(attached(study, "bead.jpg", "two"));
  const path = join(study.folder, "attachments", names[1]!);
  writeFileSync(path, "t");
  const again = attached(openStudy(study.folder), "bead.jpg", "two");
  expect(readFileSync(path, "utf8")).toBe("two");
  expect(verifyAttachments(again)).toEqual([]);
});

test("journalCopies names what a sync service leaves beside the journal, and nothing of the journal's own", () => {
  const { folder } = newStudy();
  const copies = [
    "journal (1).jsonl",
    "journal-LAPTOP.jsonl",
    "Journal (conflicted copy).jsonl",
    "journal.jsonl.orig",
  ];
  for (const name of [
    ...copies,
    "journal.jsonl",
    "journal.lock",
    "journal.torn-after-3-0123abcd.txt",
    "journals.jsonl",
  ])
    writeFileSync(join(folder, name), "");
  mkdirSync(join(folder, "attachments"), { recursive: true });
  expect(
    journalCopies({ folder })
      .flatMap(({ about }) => about ?? [])
      .sort(),
  ).toEqual([...copies].sort());
});
