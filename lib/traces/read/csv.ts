import { closeSync, openSync, readSync } from "node:fs";
import type { Finding } from "../../errors/index.js";
import { type ChosenColumn, chooseColumns } from "./choose-columns.js";
import { type CsvLayout, HEAD_BYTES, readCsvLayout } from "./csv-layout.js";
import { CsvRows } from "./csv-rows.js";
import { scaleColumns } from "./scale-columns.js";
import {
  BATCH_ROWS,
  batchColumns,
  type TraceBatch,
  type TraceEnd,
  type TraceFile,
  type TraceOptions,
} from "./trace.js";

/** Bytes read at a time; a line longer than this is damage. */
const CHUNK = 1 << 20;

/** A CSV trace: header and layout are read, rows when asked for. */
export function openCsv(
  { path, file, head }: { readonly path: string; readonly file: string; readonly head: Uint8Array },
  options: TraceOptions,
): TraceFile {
  const layout = readCsvLayout(file, head.subarray(0, HEAD_BYTES));
  const columns = chooseColumns(file, layout.headings, options);
  return {
    file,
    format: "csv",
    columns: columns.map(({ at, source, ...column }) => ({ ...column, source: source || `${at + 1}` })),
    ...(options.rate === undefined ? {} : { rate: options.rate }),
    batches: () => batchesOf({ path, file, layout, columns, rate: options.rate }),
  };
}

interface CsvSource {
  readonly path: string;
  readonly file: string;
  readonly layout: CsvLayout;
  readonly columns: readonly ChosenColumn[];
  readonly rate: number | undefined;
}

function* batchesOf(source: CsvSource): Generator<TraceBatch, TraceEnd, void> {
  const { path, file, layout, columns, rate } = source;
  const batch = batchColumns(columns.map(({ channel }) => channel));
  const cellOf = new Map(columns.map(({ at, channel }) => [at, batch[channel]]));
  const targets = Array.from({ length: Math.max(...cellOf.keys()) + 1 }, (_, at) => cellOf.get(at));
  const rows = new CsvRows(file, layout);
  const handle = openSync(path, "r");
  try {
    const bytes = new Uint8Array(2 * CHUNK);
    let position = layout.dataAt;
    let kept = 0;
    let first = 1;
    let good = 0;
    const emit = function* (): Generator<TraceBatch, void, void> {
      scaleColumns(batch, columns, rows.length);
      if (rate !== undefined) for (let i = 0; i < rows.length; i += 1) batch.time[i] = (first - 1 + i) / rate;
      if (rows.length > 0) yield { first, length: rows.length, columns: batch };
      good += rows.length;
      rows.length = 0;
      first = rows.row + 1;
    };
    for (;;) {
      const read = readSync(handle, bytes, kept, CHUNK, position);
      position += read;
      const filled = kept + read;
      const end = filled === 0 ? 0 : bytes.lastIndexOf(10, filled - 1) + 1;
      let at = 0;
      while (at < end && !rows.lost) {
        const aside = rows.faults.setAside;
        at = rows.read(bytes, { at, end }, targets);
        // A batch ends where a row was set aside, so that its rows are numbered, and timed, without holes.
        if (rows.length === BATCH_ROWS || rows.faults.setAside > aside) yield* emit();
      }
      kept = filled - at;
      const torn = read === 0 || kept > CHUNK || rows.lost;
      if (torn) {
        yield* emit();
        const tail = tailFinding({ file, rows, tail: bytes.subarray(at, filled), layout, ended: read === 0 });
        return {
          rows: good,
          partial: tail?.severity === "warning",
          findings: [
            ...(tail === undefined ? [] : [tail]),
            ...rows.faults.findings(layout.headings.map(({ name }) => name)),
          ],
        };
      }
      bytes.copyWithin(0, at, filled);
    }
  } finally {
    closeSync(handle);
  }
}

/** What stands after the last row that was read. */
function tailFinding({
  file,
  rows,
  tail,
  layout,
  ended,
}: {
  readonly file: string;
  readonly rows: CsvRows;
  readonly tail: Uint8Array;
  readonly layout: CsvLayout;
  readonly ended: boolean;
}): Finding | undefined {
  const place = `${file}:${rows.line + 1} (row ${rows.row + 1})`;
  if (rows.lost || !ended)
    return {
      code: "trace-damaged",
      severity: "warning",
      message: `${file}: damaged from about line ${rows.line} (row ${rows.row}) on; the rows before it were read, the rest was not`,
      advice: "copy the file again from the logger; what follows counts the part before alone",
    };
  if (tail.every((byte) => byte === 13 || byte === 32)) return undefined;
  const cells = Buffer.from(tail).toString("latin1").split(String.fromCharCode(layout.separator)).length;
  return cells < layout.headings.length || tail.includes(0)
    ? {
        code: "trace-cut-off",
        severity: "warning",
        message: `${place}: the file ends within a row; the ${rows.row} rows before it were read`,
        advice: "the logger was stopped or the copy broke off; what follows counts the part before alone",
      }
    : {
        code: "trace-last-line-open",
        severity: "info",
        message: `${place}: the last line has no line end and may be cut within a number: it is left out`,
      };
}
