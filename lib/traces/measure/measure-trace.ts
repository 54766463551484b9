import { BeadbenchError, type Finding, onlyDefined } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import type { TraceColumn, TraceEnd, TraceFile } from "../read/index.js";
import { ArcMachine } from "./arc-machine.js";
import { CleanRows } from "./clean-rows.js";
import { Clipping } from "./clipping.js";
import { Envelope, type EnvelopeBand } from "./envelope.js";
import type { TraceEvent } from "./events.js";
import { FeedWatch } from "./feed-watch.js";
import { signalFindings } from "./signal-findings.js";
import type { TraceFigures } from "./stretch.js";
import { StretchBook, type TimeMark } from "./stretch-book.js";
import { arcHolder, type TraceThresholds, traceThresholds } from "./thresholds.js";

/** How a trace is measured. */
export interface MeasureOptions {
  /** ISO 4063 number, such as 141 or 135: who holds the arc, and the thresholds to begin with. */
  readonly process: string;
  readonly thresholds?: Partial<TraceThresholds>;
  /** Stretches of the clock that belong to coupons; without them each run of arc is told by itself. */
  readonly marks?: readonly TimeMark[];
}

/** A stretch of a trace: between time marks, or one run of arc. */
export interface MeasuredStretch extends TraceFigures {
  readonly mark?: TimeMark;
}

/** What a trace tells. */
export interface TraceMeasure {
  readonly file: string;
  readonly format: TraceFile["format"];
  readonly columns: readonly TraceColumn[];
  readonly process: string;
  readonly thresholds: TraceThresholds;
  /** Rows read, and those of them that could be summed. */
  readonly rows: number;
  readonly used: number;
  /** s between rows, usually. */
  readonly step?: number;
  /** s: first and last time of the rows that were used. */
  readonly span?: readonly [from: number, to: number];
  /** Whether the file is cut off or damaged: everything is of the part before alone. */
  readonly partial: boolean;
  /** In the order of time; runs of arc shorter than `couponLeast` are left out. */
  readonly stretches: readonly MeasuredStretch[];
  /** In the order they were told, {@link unkept} more are only counted. */
  readonly events: readonly TraceEvent[];
  readonly unkept: number;
  readonly envelope: readonly EnvelopeBand[];
  readonly findings: readonly Finding[];
}

/**
 * Reads a trace once, from end to end, and sums what it tells: arc time, power, energy, starts, bridges, drop-outs.
 * Energy and means are integrals over time by trapezoids, of the power of each instant; over holes in the record nothing
 * is integrated. Memory does not grow with the length of the trace.
 *
 * @throws {BeadbenchError} `bad-argument` for a process without an arc, bad thresholds, or marks that overlap;
 *   `not-enough-data` where no two rows can be used
 * @source mean of instantaneous power: ISO/TR 18491; ASME BPVC IX, QW-409.1(c)
 */
export function measureTrace(
  trace: TraceFile,
  { process, thresholds: changes, marks }: MeasureOptions,
): TraceMeasure {
  const thresholds = traceThresholds(process, changes);
  const holder = arcHolder(process);
  const book = new StretchBook(marks === undefined ? undefined : ordered(marks));
  const rows = new CleanRows(trace.file, thresholds.gapSteps);
  const feed = trace.columns.some(({ channel }) => channel === "feed")
    ? new FeedWatch(thresholds)
    : undefined;
  const machine = new ArcMachine({ thresholds, holder, book, feed });
  const envelope = new Envelope();
  const clipping = { current: new Clipping(), voltage: new Clipping() };
  const end = forEachBatch(trace, (batch) => {
    const clean = rows.clean(batch);
    machine.follow(clean, rows.longest);
    clipping.current.look(clean.columns.current!, clean.length, clean.first);
    clipping.voltage.look(clean.columns.voltage!, clean.length, clean.first);
    envelope.add(clean.columns, clean.length, rows.step ?? 1);
  });
  machine.finish();
  if (rows.used < 2) throw tooFew(trace.file, end, rows.findings);
  const stretches = book.stretches
    .map(({ stretch, mark }): MeasuredStretch => ({ ...stretch.figures, ...onlyDefined({ mark }) }))
    .filter(({ mark, arcTime }) => mark !== undefined || arcTime >= thresholds.couponLeast);
  return {
    file: trace.file,
    format: trace.format,
    columns: trace.columns,
    process,
    thresholds,
    rows: end.rows,
    used: rows.used,
    ...onlyDefined({ step: rows.step }),
    span: [rows.first!, rows.last],
    partial: end.partial,
    stretches,
    events: [...book.events].sort((a, b) => a.start - b.start),
    unkept: book.unkept,
    envelope: envelope.bands,
    findings: [
      ...end.findings,
      ...rows.findings,
      ...clipping.current.finding(trace.file, "current", "A"),
      ...clipping.voltage.finding(trace.file, "voltage", "V"),
      ...emptyMarks(trace.file, marks ?? [], { stretches, span: [rows.first!, rows.last] }),
      ...signalFindings({ trace, process, holder, book, stretches, thresholds, step: rows.step }),
    ],
  };
}

/** Marks in which no current flowed, or which the trace does not reach. */
function emptyMarks(
  file: string,
  marks: readonly TimeMark[],
  {
    stretches,
    span,
  }: { readonly stretches: readonly MeasuredStretch[]; readonly span: readonly [number, number] },
): readonly Finding[] {
  return marks.flatMap(({ coupon, from, to }): readonly Finding[] => {
    if (stretches.some(({ mark, arcTime }) => mark?.coupon === coupon && mark.from === from && arcTime > 0))
      return [];
    const [first, last] = span.map((time) => significant(time, 6));
    return [
      {
        code: "trace-mark-empty",
        severity: "warning",
        message: `${file}: no arc between the marks of ${coupon}, ${significant(from, 6)} to ${significant(to, 6)} s; the trace runs from ${first} to ${last} s`,
        advice: "look whether the marks are on the logger's own clock, and in seconds",
        about: [coupon],
      },
    ];
  });
}

function forEachBatch(trace: TraceFile, take: (batch: Parameters<CleanRows["clean"]>[0]) => void): TraceEnd {
  const batches = trace.batches();
  for (;;) {
    const next = batches.next();
    if (next.done === true) return next.value;
    take(next.value);
  }
}

/** Marks in the order of time. */
function ordered(marks: readonly TimeMark[]): readonly TimeMark[] {
  const inOrder = [...marks].sort((a, b) => a.from - b.from);
  for (const [i, { coupon, from, to }] of inOrder.entries()) {
    const before = inOrder[i - 1];
    if (!(to > from))
      throw new BeadbenchError(
        "bad-argument",
        `the mark of ${coupon} ends at ${significant(to, 6)} s, before it begins (${significant(from, 6)} s)`,
      );
    if (before !== undefined && before.to > from)
      throw new BeadbenchError(
        "bad-argument",
        `the marks of ${before.coupon} and ${coupon} overlap from ${significant(from, 6)} to ${significant(Math.min(before.to, to), 6)} s: a row can be of one coupon only`,
      );
  }
  return inOrder;
}

function tooFew(file: string, end: TraceEnd, findings: readonly Finding[]): BeadbenchError {
  const why = [...end.findings, ...findings].map(({ message }) => `\n  ${message}`).join("");
  return new BeadbenchError(
    "not-enough-data",
    `${file}: no two rows with rising time, current and voltage can be read${why}`,
  );
}
