import { type Finding, formatIssue, onlyDefined, requireNumber, requireThat } from "../errors/index.js";
import { type CoolingReading, type CoolingSlip, coolingSlips, HOTTEST_READING } from "../models/index.js";
import { fixed, mean, significant } from "../numeric/index.js";
import {
  groupRows,
  type NumberedRow,
  readNumberedTable,
  type TableRow,
  type TableSource,
} from "../study/index.js";
import { number, possible } from "./readings.js";

/** A reading with its line in the file. */
interface LoggedReading extends CoolingReading {
  readonly line: number;
}

/** One curve of a cooling log as read. */
export interface LoggedCurve {
  readonly name: string;
  /** mm. */
  readonly height?: number;
  /** Without the slips. */
  readonly readings: readonly LoggedReading[];
  readonly slips: readonly (CoolingSlip & { readonly line: number })[];
  /** degC, mean of those logged beside the readings. */
  readonly surroundings?: number;
}

/**
 * The curves of a cooling log, with slips of the pen set apart.
 *
 * @param given - degC of the surroundings, where stated by hand
 * @throws {BeadbenchError} `bad-csv` for cells that cannot be, `bad-argument` for surroundings told twice
 */
export function coolingLog(
  text: string,
  source: TableSource,
  given: number | undefined,
): readonly LoggedCurve[] {
  const { rows, stated } = readNumberedTable(
    text,
    [
      { name: "time", unit: "s", check: (time) => requireNumber("time", time, { min: 0, unit: "s" }) },
      { name: "temperature", unit: "degC", check: possible("temperature") },
      { name: "curve", unit: "text", optional: true },
      { name: "height", unit: "mm", optional: true },
      { name: "surroundings", unit: "degC", optional: true, check: possible("temperature") },
    ],
    source,
  );
  requireThat(
    given === undefined || rows.every(({ row }) => row.surroundings === undefined),
    `${source.file}: the surroundings are logged in a column and given by --surroundings: leave one of them out`,
  );
  const typed = onlyDefined({ unit: stated.temperature });
  return groupRows(rows, ({ row }) => nameOf(row)).map(({ key: name, rows: found }) => {
    const height = found[0]!.row.height;
    const logged = found.flatMap(({ row }) =>
      row.surroundings === undefined ? [] : [number(row, "surroundings")],
    );
    const known = onlyDefined({ surroundings: given ?? (logged.length === 0 ? undefined : mean(logged)) });
    const all = found.map(readingOf);
    const slips = coolingSlips(all, { ...known, ...typed });
    const slipped = new Set(slips.map(({ index }) => index));
    return {
      name,
      ...(height === undefined ? {} : { height: Number(height) }),
      readings: all.filter((_, index) => !slipped.has(index)),
      slips: slips.map((slip) => ({ ...slip, line: all[slip.index]!.line })),
      ...known,
    };
  });
}

function nameOf({ curve, height }: TableRow): string {
  const at = height === undefined ? "" : `${Number(height)} mm`;
  return [curve, at].filter((part) => part !== undefined && part !== "").join(" at ") || "all readings";
}

const readingOf = ({ line, row }: NumberedRow): LoggedReading => ({
  line,
  time: number(row, "time"),
  temperature: number(row, "temperature"),
});

/** What a curve has to say of readings that no part shows: each by its line. */
export function oddReadings({ name, readings, slips }: LoggedCurve, file: string): readonly Finding[] {
  const at = (line: number, message: string): string =>
    formatIssue({ file, line, column: "temperature", message });
  const hot = readings.filter(({ temperature }) => temperature > HOTTEST_READING);
  const hottest = hot[0];
  return [
    ...slips.map(({ line, time, temperature, expected, meant }): Finding => {
      const guess =
        meant === undefined ? "; it" : `; was ${fixed(meant.value, 0)} degC meant (${meant.how})? It`;
      return {
        code: "mistyped-reading",
        severity: "warning",
        message: `${at(line, `${name} reads ${fixed(temperature, 0)} degC at ${significant(time)} s, where its neighbours foresee ${fixed(expected, 0)} degC`)}${guess} is left out of the fit`,
        advice: `mend the cell, or delete line ${line} if nobody knows what was read`,
      };
    }),
    ...(hottest === undefined
      ? []
      : [
          {
            code: "hotter-than-metal",
            severity: "warning",
            message: `${at(hottest.line, `${name} reads ${fixed(hottest.temperature, 0)} degC${hot.length === 1 ? "" : ` there, and more than ${HOTTEST_READING} degC ${hot.length} times`}; steel melts near 1500 degC, and no part shows more than ${HOTTEST_READING} degC after arc-off`)}; taken as read`,
            advice: "check the unit in the heading (degF, K?) and the emissivity, or mend the cell",
          } as const,
        ]),
  ];
}
