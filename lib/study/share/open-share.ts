import { existsSync } from "node:fs";
import { BeadbenchError, errorFromIssues, type Issue, parseJson } from "../../errors/index.js";
import { parseStudyDefinition } from "../definition/index.js";
import {
  bodyFaults,
  type Entry,
  type EntryBody,
  journalPath,
  linesText,
  sealEntries,
  writeNewFile,
} from "../journal/index.js";
import { createStudy, openStudy, type Study } from "../record/index.js";
import { shapeIssue } from "../shape/index.js";
import { SHARE_SCHEMA, type SharedEntry, type SharedStudy } from "./share-study.js";

/**
 * Reads a shared study, and holds every part of it to its shape; what a preset in it says is left to whoever reads presets.
 *
 * @param file - name shown in messages
 * @throws {BeadbenchError} `bad-file` for no shared study, `bad-study` for its definition, `bad-journal` listing faulty entries
 */
export function parseSharedStudy(text: string, file = "shared study"): SharedStudy {
  const json = parseJson(text, file, "bad-file");
  const isObject = json !== null && typeof json === "object";
  const { schema, definition, entries, preset, leftOut } = (isObject ? json : {}) as Partial<SharedStudy>;
  if (schema !== SHARE_SCHEMA || !Array.isArray(entries)) {
    throw new BeadbenchError(
      "bad-file",
      `${file} is no shared study ("schema" must be "${SHARE_SCHEMA}"); write one with \`beadbench share\``,
    );
  }
  const issues = entries.flatMap((entry: unknown, i) => entryIssues(entry, i, file));
  if (issues.length > 0) throw errorFromIssues("bad-journal", `${file} cannot be opened:`, issues);
  const texts = (Array.isArray(leftOut) ? leftOut : []).filter(
    (what): what is string => typeof what === "string",
  );
  return {
    schema,
    definition: parseStudyDefinition(definition, file),
    entries,
    ...(preset !== null && typeof preset === "object" ? { preset } : {}),
    leftOut: texts,
  };
}

function entryIssues(entry: unknown, i: number, file: string): readonly Issue[] {
  const { time, ...body } = (entry ?? {}) as Partial<SharedEntry>;
  const at = (column: string): string => `entries[${i}].${column}`;
  const issues: Issue[] = bodyFaults(body)
    .map(shapeIssue)
    .map((issue) => ({ ...issue, file, column: at(issue.column ?? "") }));
  if (typeof time !== "string" || !/^\d{4}-\d\d-\d\dT/.test(time) || Number.isNaN(Date.parse(time)))
    issues.push({ file, column: at("time"), message: "must be a time as RFC 3339 writes it" });
  const { entry: named, kind } = body as { readonly entry?: unknown; readonly kind?: unknown };
  if (typeof named === "number" && named > i)
    issues.push({ file, column: at("entry"), message: "must name an entry before it", got: String(named) });
  if (kind === "attached") issues.push({ file, column: at("kind"), message: "a shared study has no files" });
  return issues;
}

/**
 * Makes a study folder of a shared study: its definition, and a journal of its own with what was shared, at the times it was
 * written. Nothing is made where something is wrong.
 *
 * @throws {BeadbenchError} `exists` when the folder holds a study already
 */
export function openSharedStudy(folder: string, { definition, entries }: SharedStudy): Study {
  if (existsSync(journalPath(folder)))
    throw new BeadbenchError("exists", `${folder} holds a journal already; name a new folder`);
  createStudy(folder, definition);
  let last: Entry | undefined;
  const sealed = entries.map(({ time, ...body }) => {
    [last] = sealEntries([body as EntryBody], last, { time }) as [Entry];
    return last;
  });
  if (sealed.length > 0) writeNewFile(journalPath(folder), Buffer.from(linesText(sealed), "utf8"));
  return openStudy(folder);
}
