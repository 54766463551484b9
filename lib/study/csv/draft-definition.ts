import { errorFromIssues, type Issue, onlyDefined } from "../../errors/index.js";
import {
  parseStudyDefinition,
  STUDY_SCHEMA,
  type StudyDefinition,
  tradeName,
  type Wire,
} from "../definition/index.js";
import { splitHeader } from "./csv-header.js";
import { carriesUnit, type DecimalMark, tellDecimalMark } from "./csv-number.js";
import type { WhyImpossible } from "./csv-row.js";
import { placedCells, readCsvText } from "./csv-text.js";
import { DraftColumns, isNamed } from "./draft-columns.js";

/** What a CSV file cannot say of a study. */
export interface DraftOptions {
  readonly name: string;
  /** ISO 4063 process number. */
  readonly process: string;
  /** Absent where no wire is fed. */
  readonly wire?: Wire;
  /** Names of columns that are results, whatever their name says. */
  readonly responses?: readonly string[];
  /** Names of columns that are settings, whatever their name says. */
  readonly settings?: readonly string[];
  /** Names of columns that are blocks, such as the operator, whatever their name says. */
  readonly blocks?: readonly string[];
  /** File name shown in messages. */
  readonly file?: string | undefined;
  /** Decimal mark, for a file from which it cannot be told. */
  readonly decimal?: DecimalMark | undefined;
  /** Why no rig runs a setting, or undefined: no range may rest on such a one. */
  readonly whyImpossible?: WhyImpossible;
}

/** A definition that {@link createStudy} takes, with ranges and units as the file states them. Plain data. */
export interface DraftDefinition {
  readonly definition: StudyDefinition;
  /** What was assumed, to be looked over before the study is used. */
  readonly notes: readonly string[];
}

/**
 * Drafts a study definition from the header and the ranges of a CSV file: columns with stations or with a word of the
 * trade for results become responses, yes/no columns pass/fail responses (under a defect such as spatter no is good), other numbers that vary become factors from
 * their lowest to their highest value, and numbers that never vary held settings of the rig. Other words for known
 * names (`wfs`, `ctwd`) are read as those. A column `layer` stays beside the settings; text becomes a category or a block where it is named as
 * one. What was assumed of each column is told in the notes; `responses`, `settings` and `blocks` decide otherwise.
 *
 * @param input - the file's text or bytes
 * @throws {BeadbenchError} `bad-csv` when the header cannot be understood, no setting changes or nothing was measured
 */
export function draftDefinitionFromCsv(input: string | Uint8Array, options: DraftOptions): DraftDefinition {
  const { file } = options;
  const refused = (issues: readonly Issue[]): Error =>
    errorFromIssues(
      "bad-csv",
      "no study can be drafted from the file:",
      issues.map((issue) => (file === undefined ? issue : { file, ...issue })),
    );
  const text = readCsvText(input);
  if ("issues" in text) throw refused(text.issues);
  const stated = [...(options.responses ?? []), ...(options.settings ?? []), ...(options.blocks ?? [])];
  const words = text.header.map((title) => splitHeader(title));
  const taken = new Set(words.map(({ name }) => name));
  const columns = text.header.map((title, index) => ({
    title,
    ...words[index]!,
    name: taken.has(tradeName(words[index]!.name)) ? words[index]!.name : tradeName(words[index]!.name),
    word: words[index]!.name,
    placed: placedCells(text, index),
    cells: placedCells(text, index).map(({ cell }) => cell),
  }));
  const unknown = stated.filter((name) => !columns.some((column) => isNamed(column, name)));
  if (unknown.length > 0) {
    const message = `is no column of the file; columns are ${columns.map(({ word }) => word).join(", ")}`;
    throw refused(unknown.map((name) => ({ got: name, message })));
  }
  const numeric = columns.flatMap(({ unit, cells }, index) =>
    unit !== undefined || cells.some(carriesUnit) ? [index] : [],
  );
  const { mark, doubt } = tellDecimalMark(text, numeric, options.decimal);
  const draft = new DraftColumns(mark, columns, options);
  for (const column of columns) {
    const message = draft.add(column);
    if (message !== undefined) draft.issues.push({ line: text.headerLine, column: column.title, message });
  }
  const issues = [...(doubt === undefined ? [] : [doubt]), ...draft.issues];
  if (issues.length > 0) throw refused(issues.sort((a, b) => (a.line ?? 0) - (b.line ?? 0)));
  const { name, process, wire } = options;
  const { factors, responses, blocks, settings, notes } = draft;
  const lacking = lackingColumns(draft);
  if (lacking.length > 0) throw refused(lacking.map((message) => ({ message })));
  const raw = {
    schema: STUDY_SCHEMA,
    name,
    process,
    ...onlyDefined({ wire }),
    rig: { settings },
    factors,
    responses,
    blocks,
  };
  return { definition: parseStudyDefinition(raw), notes };
}

/** What a file must have for a study and has not. */
function lackingColumns({ factors, responses, settings }: DraftColumns): readonly string[] {
  const held = Object.keys(settings);
  const same = held.length === 0 ? "" : ` (${held.join(", ")}: one value on every line)`;
  return [
    ...(factors.length > 0
      ? []
      : [
          `no setting changes from line to line${same}, so there is nothing to learn from; name one that does by --settings, or start the study without the file, with --set "current 90 to 180 A" and --want, and import it then`,
        ]),
    ...(responses.length > 0 ? [] : ["no column was measured; name those that were by --results"]),
  ];
}
