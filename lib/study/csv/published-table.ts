import { type Issue, onlyDefined, ownValue } from "../../errors/index.js";
import { type Quantity, readQuantity } from "../../units/index.js";
import { asName, type StudyDefinition } from "../definition/index.js";
import { type Coupon, couponsOf } from "../record/index.js";
import { splitHeader } from "./csv-header.js";
import { comparable } from "./csv-match.js";
import { readCsvText } from "./csv-text.js";
import { decodeText } from "./decode-text.js";
import { type ImportOptions, readCsvRows, refused } from "./import-csv.js";
import { RowsToEntries } from "./rows-to-entries.js";

/** Beads that a book or a paper reports, as a study of their own. Plain data. */
export interface PublishedTable {
  /** The columns the table has, and what its head says was held throughout. */
  readonly definition: StudyDefinition;
  readonly coupons: readonly Coupon[];
  /** Where the numbers stand, by the line `# source: ...`. */
  readonly source?: string;
}

/**
 * Reads a table of settings and results from a CSV file, whose columns bear the names of a study. Lines at its head that
 * begin with `#` say what the rows do not: `# source: author, title, page`, and what was held throughout, such as
 * `# standoff = 10 mm` or `# wire_diameter = 1.2 mm`. Constants of the study stand where the table is silent.
 *
 * @throws {BeadbenchError} `bad-csv` for a faulty cell, a factor that the table does not tell, or no result of the study
 */
export function readPublishedTable(
  study: StudyDefinition,
  input: string | Uint8Array,
  options: Pick<ImportOptions, "file" | "decimal"> = {},
): PublishedTable {
  const text = typeof input === "string" ? input : decodeText(input);
  const { body, held, source, issues } = readHead(text);
  const table = readCsvText(body);
  if ("issues" in table) throw refused(table.issues, options.file);
  const names = table.header.map((title) => splitHeader(title).name);
  const has = (name: string): boolean => names.includes(name);
  const { wire_diameter: diameter, ...settings } = held;
  const definition: StudyDefinition = {
    ...study,
    factors: study.factors.filter(({ name }) => has(name)),
    limits: [],
    ...onlyDefined({ wire: study.wire && { ...study.wire, ...onlyDefined({ diameter }) } }),
    rig: { ...study.rig, settings: { ...withoutNames(study.rig?.settings ?? {}, names), ...settings } },
  };
  const silent = study.factors.filter(({ name }) => !has(name) && ownValue(settings, name) === undefined);
  const faults: readonly Issue[] = [
    ...issues,
    ...silent.map(({ name, unit, kind }) => ({
      line: table.headerLine,
      message: `does not tell ${name}, a factor of this study; add a column of it${kind === "category" ? "" : `, or a line such as # ${name} = 10 ${unit} above the header`}`,
    })),
    ...(study.responses.some(({ name }) => has(name))
      ? []
      : [
          {
            line: table.headerLine,
            message: `holds no result of this study: ${study.responses.map(({ name }) => name).join(", ")}`,
          },
        ]),
  ];
  if (faults.length > 0) throw refused(faults, options.file);
  const { rows, issues: ofHeader } = readCsvRows(definition, body, options);
  const plan = new RowsToEntries({ definition, entries: [], coupons: [] }, true);
  for (const row of rows) plan.add(comparable(definition, row));
  const { coupons, issues: ofRows } = couponsOf(definition, plan.bodies);
  const wrong = [
    ...ofHeader,
    ...plan.issues,
    ...ofRows.map((issue) => ({ ...issue, line: plan.lines[issue.line! - 1]! })),
  ];
  if (wrong.length > 0) throw refused(wrong, options.file);
  return { definition, coupons, ...onlyDefined({ source }) };
}

/** The lines above the header, which say what holds of all rows; the rest keeps its line numbers. */
function readHead(text: string): {
  readonly body: string;
  readonly held: Readonly<Record<string, Quantity>>;
  readonly source?: string;
  readonly issues: readonly Issue[];
} {
  const lines = text.replace(/^\uFEFF/, "").split(/\r\n?|\n/);
  const held: Record<string, Quantity> = {};
  const issues: Issue[] = [];
  let source: string | undefined;
  let end = 0;
  for (; /^\s*#|^\s*$/.test(lines[end] ?? "#") && end < lines.length; end++) {
    const words = lines[end]!.replace(/^\s*#\s*/, "");
    const said = /^source\s*:\s*(.+)$/i.exec(words);
    const constant = /^([A-Za-z][\w ]*?)\s*=\s*(.+)$/.exec(words);
    if (said !== null) source = said[1]!.trim();
    else if (constant !== null) {
      const quantity = readQuantity(constant[2]!);
      if (typeof quantity === "string")
        issues.push({ line: end + 1, message: `"${constant[2]}" ${quantity}` });
      else held[asName(constant[1]!)] = quantity;
    }
  }
  return {
    body: [...Array.from({ length: end }, () => ""), ...lines.slice(end)].join("\n"),
    held,
    issues,
    ...onlyDefined({ source }),
  };
}

const withoutNames = <T>(
  record: Readonly<Record<string, T>>,
  names: readonly string[],
): Readonly<Record<string, T>> =>
  Object.fromEntries(Object.entries(record).filter(([name]) => !names.includes(name)));
