import { z } from "zod";
import { errorFromIssues, parseJson, schemaIssues } from "../../errors/index.js";
import { isUnit, unitExamples } from "../../units/index.js";
import { isName, NAME_RULE } from "../definition/index.js";

/** The value of `schema` in a column map. */
export const COLUMNS_SCHEMA = "beadbench/columns/1";

const row = z.int().min(1);
/** Checked where it is used, so that the JSON Schema stays one of plain words. */
const unit = z.string().refine(isUnit, { message: `is no unit known here; ${unitExamples()}` });
const name = z.string().refine(isName, { message: NAME_RULE });
const shape = z.strictObject({
  schema: z.literal(COLUMNS_SCHEMA),
  sheet: z.string().optional(),
  headerRow: row,
  skipRows: z.array(row).optional(),
  lastRow: row.optional(),
  decimal: z.enum([".", ","]).optional(),
  dates: z.enum(["year-month-day", "day-month-year", "month-day-year"]).optional(),
  columns: z
    .array(
      z.strictObject({
        from: z.string(),
        column: z
          .string()
          .regex(/^[A-Z]{1,3}$/, { message: "must be the letters of a column, such as C" })
          .optional(),
        to: name.nullable(),
        unit: unit.optional(),
        values: z.record(z.string(), z.string()).optional(),
        fill: z.boolean().optional(),
      }),
    )
    .min(1),
  constant: z.record(z.string(), z.string()).optional(),
});

/** Which column of a foreign table is which here. */
export interface MappedColumn {
  /** The heading as it stands. */
  readonly from: string;
  /** Letters of the column, where several have this heading. */
  readonly column?: string | undefined;
  /** Name here; null leaves the column out. */
  readonly to: string | null;
  /** Unit of the column's numbers. */
  readonly unit?: string | undefined;
  /** What words stand for, such as ok for yes. */
  readonly values?: Readonly<Record<string, string>> | undefined;
  /** Whether merged cells give their value to each of their rows. */
  readonly fill?: boolean | undefined;
}

/** How a foreign table reads, kept as a file the user owns; rows count from 1. */
export interface ColumnMap {
  readonly schema: typeof COLUMNS_SCHEMA;
  /** Sheet of a workbook; may be left out where only one is visible. */
  readonly sheet?: string | undefined;
  readonly headerRow: number;
  /** Rows below the heading that are no coupons, such as one of units. */
  readonly skipRows?: readonly number[] | undefined;
  /** Last row read, where sums or remarks stand below. */
  readonly lastRow?: number | undefined;
  /** Decimal mark of numbers that stand as text. */
  readonly decimal?: "." | "," | undefined;
  /** Order of dates that stand as text. */
  readonly dates?: "year-month-day" | "day-month-year" | "month-day-year" | undefined;
  readonly columns: readonly MappedColumn[];
  /** Columns that the table does not have, with one value for all rows, such as "11.5 V". */
  readonly constant?: Readonly<Record<string, string>> | undefined;
}

/** JSON Schema (draft 2020-12) of a column map; the package holds it as `schemas/columns-1.json`. */
export const columnMapJsonSchema = (): object => z.toJSONSchema(shape);

/**
 * Reads a column map.
 *
 * @throws {BeadbenchError} `bad-file` naming line, path, value and rule of every fault
 */
export function parseColumnMap(text: string, file = "columns.json"): ColumnMap {
  const raw = parseJson(text, file);
  const found = shape.safeParse(raw);
  if (found.success) return found.data;
  throw errorFromIssues(
    "bad-file",
    `${file} is no column map; draft one with \`beadbench columns\`:`,
    schemaIssues({ file, text, raw }, found.error.issues),
  );
}
