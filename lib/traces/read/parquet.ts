import { closeSync, openSync, readSync, statSync } from "node:fs";
import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { parquetMetadata } from "hyparquet";
import { DEFAULT_PARSERS } from "hyparquet/src/convert.js";
import { getSchemaPath } from "hyparquet/src/schema.js";
import type { Compressors, FileMetaData, SchemaElement } from "hyparquet/src/types.js";
import { compressors } from "hyparquet-compressors";
import { BeadbenchError, type Finding } from "../../errors/index.js";
import { counted } from "../../numeric/index.js";
import { readHeading } from "./channels.js";
import { type ChosenColumn, chooseColumns, type TableHeading } from "./choose-columns.js";
import { type ColumnStretch, ParquetPages } from "./parquet-pages.js";
import { scaleColumns } from "./scale-columns.js";
import {
  BATCH_ROWS,
  batchColumns,
  type TraceBatch,
  type TraceEnd,
  type TraceFile,
  type TraceOptions,
} from "./trace.js";

/** Two that the platform unpacks itself, thirty times as fast as the package does. */
const unpackers: Compressors = {
  ...compressors,
  GZIP: (packed) => new Uint8Array(gunzipSync(packed)),
  BROTLI: (packed) => new Uint8Array(brotliDecompressSync(packed)),
};

interface Leaf extends TableHeading {
  readonly element: SchemaElement;
  readonly path: readonly string[];
}

/** A Parquet trace: its table of contents is read, pages when asked for. Nested columns and texts are passed over. */
export function openParquet(
  { path, file }: { readonly path: string; readonly file: string },
  options: TraceOptions,
): TraceFile {
  const contents = readContents(path, file);
  const leaves = leavesOf(contents);
  const columns = chooseColumns(file, leaves, options);
  return {
    file,
    format: "parquet",
    columns: columns.map(({ at: _, ...column }) => column),
    ...(options.rate === undefined ? {} : { rate: options.rate }),
    batches: () => batchesOf({ path, file, contents, leaves, columns, rate: options.rate }),
  };
}

function readContents(path: string, file: string): FileMetaData {
  const { size } = statSync(path);
  const handle = openSync(path, "r");
  const tail = (length: number): Uint8Array => {
    const bytes = new Uint8Array(Math.min(length, size));
    readSync(handle, bytes, 0, bytes.length, size - bytes.length);
    return bytes;
  };
  try {
    const end = tail(8);
    if (size < 12 || Buffer.from(end.subarray(4)).toString("latin1") !== "PAR1")
      throw new BeadbenchError(
        "bad-file",
        `${file}: the end of the file is missing, where Parquet keeps its table of contents: without it no row of ${counted(size, "byte")} can be told from another. Copy it again, or have the logger write row groups to several files, or CSV, of which a torn file keeps what it has`,
      );
    return parquetMetadata(tail(new DataView(end.buffer).getUint32(0, true) + 8));
  } catch (error) {
    if (error instanceof BeadbenchError) throw error;
    throw new BeadbenchError(
      "bad-file",
      `${file}: its table of contents, at the end of the file, is damaged; copy it again from the logger`,
    );
  } finally {
    closeSync(handle);
  }
}

/** Columns of numbers that lie in no list or record. */
function leavesOf({ schema }: FileMetaData): readonly Leaf[] {
  const [, ...elements] = schema;
  const leaves: Leaf[] = [];
  for (let i = 0; i < elements.length; i += 1) {
    const element = elements[i]!;
    if (element.num_children === undefined || element.num_children === 0) {
      const stampUnit = stampSeconds(element) === undefined ? undefined : "s";
      const heading = readHeading(element.name);
      const unit = stampUnit ?? heading.unit;
      leaves.push({ ...heading, ...(unit === undefined ? {} : { unit }), element, path: [element.name] });
    } else i += descendants(elements, i);
  }
  return leaves;
}

/** Elements below one that has children. */
function descendants(elements: readonly SchemaElement[], at: number): number {
  let count = 0;
  for (let left = elements[at]!.num_children ?? 0; left > 0; left -= 1) {
    count += 1;
    count += descendants(elements, at + count);
  }
  return count;
}

/** Seconds in one tick of a column of time stamps; undefined for other columns. */
function stampSeconds({
  logical_type: logical,
  converted_type: converted,
}: SchemaElement): number | undefined {
  const unit = logical?.type === "TIMESTAMP" ? logical.unit : converted?.replace("TIMESTAMP_", "");
  return unit === "MILLIS" ? 1e-3 : unit === "MICROS" ? 1e-6 : unit === "NANOS" ? 1e-9 : undefined;
}

interface ParquetSource {
  readonly path: string;
  readonly file: string;
  readonly contents: FileMetaData;
  readonly leaves: readonly Leaf[];
  readonly columns: readonly ChosenColumn[];
  readonly rate: number | undefined;
}

/** One column on its way into batches. */
interface Course {
  readonly pages: ParquetPages;
  readonly target: Float64Array;
  /** Seconds a tick, of time stamps, which count from the first: as seconds since 1970 a double could not part them. */
  readonly tick: number | undefined;
  origin: number | undefined;
  values: Float64Array;
  at: number;
}

function* batchesOf(source: ParquetSource): Generator<TraceBatch, TraceEnd, void> {
  const { path, file, contents, columns, rate } = source;
  const batch = batchColumns(columns.map(({ channel }) => channel));
  const handle = openSync(path, "r");
  try {
    const total = Number(contents.num_rows);
    const courses = columns.map((column) =>
      courseOf(source, handle, { column, target: batch[column.channel]! }),
    );
    for (let first = 0; first < total; ) {
      const wanted = Math.min(BATCH_ROWS, total - first);
      const filled = courses.map((course) => fill(course, wanted));
      const length = Math.min(...filled.map((part) => part.length));
      scaleColumns(batch, columns, length);
      if (rate !== undefined) for (let i = 0; i < length; i += 1) batch.time[i] = (first + i) / rate;
      if (length > 0) yield { first: first + 1, length, columns: batch };
      first += length;
      const why = filled.find((part) => part.length === length)?.why ?? "";
      if (length < wanted)
        return { rows: first, partial: true, findings: [damaged({ file, row: first + 1, total, why })] };
    }
    return { rows: total, partial: false, findings: [] };
  } finally {
    closeSync(handle);
  }
}

function courseOf(
  { contents, leaves }: ParquetSource,
  handle: number,
  { column, target }: { readonly column: ChosenColumn; readonly target: Float64Array },
): Course {
  const { element, path } = leaves[column.at]!;
  const tick = stampSeconds(element);
  // Stamps are read as the whole numbers they are: the library would make dates of them, to the millisecond.
  const { converted_type: _, logical_type: __, ...plain } = element;
  const stretches = contents.row_groups.map((group): ColumnStretch => {
    const meta = group.columns.find(
      (chunk) => chunk.meta_data?.path_in_schema.join("\0") === path.join("\0"),
    )!.meta_data!;
    const { dictionary_page_offset: dictionary, data_page_offset: data } = meta;
    return {
      start: Number(dictionary !== undefined && dictionary > 0n && dictionary < data ? dictionary : data),
      length: Number(meta.total_compressed_size),
      rows: Number(group.num_rows),
      decoder: {
        pathInSchema: [...path],
        type: meta.type,
        element: tick === undefined ? element : plain,
        schemaPath: getSchemaPath(contents.schema, [...path]),
        codec: meta.codec,
        parsers: DEFAULT_PARSERS,
        compressors: unpackers,
      },
    };
  });
  return {
    pages: new ParquetPages(handle, stretches),
    target,
    tick,
    origin: undefined,
    values: new Float64Array(0),
    at: 0,
  };
}

/** Fills a column of a batch from its pages, as far as they can be read. */
function fill(course: Course, wanted: number): { readonly length: number; readonly why?: string } {
  let length = 0;
  try {
    while (length < wanted) {
      if (course.at === course.values.length) {
        const next = course.pages.next();
        if (next === undefined) return { length, why: "the column ends" };
        course.values = course.tick === undefined ? next : secondsOf(course, next, course.tick);
        course.at = 0;
      }
      const part = course.values.subarray(course.at, course.at + wanted - length);
      course.target.set(part, length);
      course.at += part.length;
      length += part.length;
    }
    return { length };
  } catch (error) {
    return { length, why: (error as Error).message };
  }
}

function secondsOf(course: Course, stamps: Float64Array, tick: number): Float64Array {
  course.origin ??= stamps.find((stamp) => !Number.isNaN(stamp));
  const origin = course.origin ?? 0;
  return stamps.map((stamp) => (stamp - origin) * tick);
}

function damaged({
  file,
  row,
  total,
  why,
}: {
  file: string;
  row: number;
  total: number;
  why: string;
}): Finding {
  return {
    code: "trace-damaged",
    severity: "warning",
    message: `${file} (row ${row}): damaged from here on (${why}); the ${row - 1} rows before it were read, ${total - row + 1} were not`,
    advice: "copy the file again from the logger; what follows counts the part before alone",
  };
}
