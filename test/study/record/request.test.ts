import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { appendEntries, createDemoStudy, openStudy, verifyJournal } from "../../../lib/study/index.js";

const request = "0d5f9c1e-6c3b-4a86-9f62-1f0f2f5a7b11";

test("a request that the journal holds is not written again, by whoever opens the study", () => {
  const study = createDemoStudy();
  const bodies = [
    { kind: "note", text: "first" },
    { kind: "note", text: "second" },
  ] as const;
  const once = appendEntries(study, bodies, { request });
  const twice = appendEntries(openStudy(study.folder), bodies, { request });
  expect(once.entries).toHaveLength(study.entries.length + 2);
  expect(twice.entries).toEqual(once.entries);
  expect(once.entries.slice(-2).map((entry) => entry.request)).toEqual([request, request]);
  const other = appendEntries(study, bodies, { request: `${request}-b` });
  expect(other.entries).toHaveLength(study.entries.length + 4);
  expect(verifyJournal(study.folder).faults).toEqual([]);
});

test("the name of a request is sealed with its entry, and no part of what was logged", () => {
  const study = createDemoStudy();
  appendEntries(study, [{ kind: "note", text: "first" }], { request });
  expect(openStudy(study.folder).notes.at(-1)).not.toHaveProperty("request");
  const path = join(study.folder, "journal.jsonl");
  writeFileSync(path, readFileSync(path, "utf8").replace(request, request.replace("0d5f", "0d60")));
  expect(verifyJournal(study.folder).faults).toMatchObject([{ code: "changed" }]);
});
