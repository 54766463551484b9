import type { Finding } from "../../errors/index.js";
import type { ChannelScale, TraceChannel } from "./channels.js";

/** A column of a trace, and what it is read as. */
export interface TraceColumn extends ChannelScale {
  readonly channel: TraceChannel;
  /** Its heading, or its number from 1 where it has none. */
  readonly source: string;
}

/**
 * Some rows of a trace in a row. The arrays are filled anew for the next batch: copy what is to be kept.
 * What was not measured is NaN.
 */
export interface TraceBatch {
  /** Number of its first row, from 1, counted over all rows of the file. */
  readonly first: number;
  readonly length: number;
  /** By channel, in the units of `traceUnits`; of each only the first `length` values count. */
  readonly columns: { readonly time: Float64Array } & Readonly<Partial<Record<TraceChannel, Float64Array>>>;
}

/** How the reading of a trace ended. */
export interface TraceEnd {
  /** Rows read, without those set aside. */
  readonly rows: number;
  /** Whether the file ends, or cannot be read, before its trace does: all before that was read. */
  readonly partial: boolean;
  /** What was set aside, cut off or unreadable, each with its first row and line. */
  readonly findings: readonly Finding[];
}

/** A trace on disk, of which nothing but its head was read. */
export interface TraceFile {
  readonly file: string;
  readonly format: "csv" | "wav" | "parquet";
  readonly columns: readonly TraceColumn[];
  /** Samples a second, where the file has no time of its own. */
  readonly rate?: number;
  /** Reads it from the first row on, in memory that does not grow with its length. */
  batches(): Generator<TraceBatch, TraceEnd, void>;
}

/** What the file itself does not say. */
export interface TraceOptions {
  /** By channel: heading or number (from 1) of its column, with its unit where the heading has none: `CH1 [A]`. */
  readonly columns?: Readonly<Partial<Record<TraceChannel, string>>>;
  /** By channel: what one unit of the column is worth, in a WAV file its full scale; in the units of `traceUnits`. */
  readonly scales?: Readonly<Partial<Record<TraceChannel, number>>>;
  /** By channel: what the logger shows of nothing, subtracted after scaling; in the units of `traceUnits`. */
  readonly zeros?: Readonly<Partial<Record<TraceChannel, number>>>;
  /** Hz, of a table without a time column. */
  readonly rate?: number;
}

/** Rows in a batch: a few hundred kilobytes, and few enough that plain sums within it lose nothing. */
export const BATCH_ROWS = 16_384;

/** Fresh arrays for the batches of a file. */
export function batchColumns(channels: readonly TraceChannel[]): TraceBatch["columns"] {
  const columns: Partial<Record<TraceChannel, Float64Array>> = {};
  for (const channel of channels) columns[channel] = new Float64Array(BATCH_ROWS);
  return { ...columns, time: columns.time ?? new Float64Array(BATCH_ROWS) };
}
