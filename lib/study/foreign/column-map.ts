import { z } from "zod";
import { errorFromIssues, parseJson } from "../../errors/index.js";
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
  /** Sheet of a workbook; may be left out where only one is visible. */
  sheet: z.string().optional(),
  headerRow: row,
  /** Rows below the heading that are no coupons, such as one of units. */
  skipRows: z.array(row).optional(),
  /** Last row read, where sums or remarks stand below. */
  lastRow: row.optional(),
  /** Decimal mark of numbers that stand as text. */
  decimal: z.enum([".", ","]).optional(),
  /** Order of dates that stand as text. */
  dates: z.enum(["year-month-day", "day-month-year", "month-day-year"]).optional(),
  columns: z
    .array(
      z.strictObject({
        /** The heading as it stands. */
        from: z.string(),
        /** Letters of the column, where several have this heading. */
        column: z
          .string()
          .regex(/^[A-Z]{1,3}$/, { message: "must be the letters of a column, such as C" })
          .optional(),
        /** Name here; null leaves the column out. */
        to: name.nullable(),
        /** Unit of the column's numbers. */
        unit: unit.optional(),
        /** What words stand for, such as ok for yes. */
        values: z.record(z.string(), z.string()).optional(),
        /** Whether merged cells give their value to each of their rows. */
        fill: z.boolean().optional(),
      }),
    )
    .min(1),
  /** Columns that the table does not have, with one value for all rows, such as "11.5 V". */
  constant: z.record(z.string(), z.string()).optional(),
});

/** Which columns of a foreign table are which here, kept as a file the user owns. */
export type ColumnMap = z.infer<typeof shape>;
export type MappedColumn = ColumnMap["columns"][number];

/** JSON Schema (draft 2020-12) of a column map; the package holds it as `schemas/columns-1.json`. */
export const columnMapJsonSchema = (): object => z.toJSONSchema(shape);

/**
 * Reads a column map.
 *
 * @throws {BeadbenchError} `bad-file` naming each path, the rule that is broken, and what was found
 */
export function parseColumnMap(text: string, file = "columns.json"): ColumnMap {
  const found = shape.safeParse(parseJson(text, file));
  if (found.success) return found.data;
  throw errorFromIssues(
    "bad-file",
    `${file} is no column map; draft one with \`beadbench columns\`:`,
    found.error.issues.map(({ path, message }) => ({
      file,
      column: path.join("."),
      message: message.replace(/^Invalid input: expected/, "must be"),
    })),
  );
}
