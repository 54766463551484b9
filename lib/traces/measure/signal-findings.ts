import type { Finding } from "../../errors/index.js";
import { counted, percent, significant } from "../../numeric/index.js";
import { arcOf, processOf } from "../../process/index.js";
import type { TraceFile } from "../read/index.js";
import type { TraceFigures } from "./stretch.js";
import { KEPT_RUNS, type StretchBook } from "./stretch-book.js";
import type { ArcHolder, TraceThresholds } from "./thresholds.js";

/** A and share of the mean current that a meter may show of no current before it is told. Common practice, no source. */
const IDLE = { least: 1.5, share: 0.01 } as const;

interface Signals {
  readonly trace: TraceFile;
  readonly process: string;
  readonly holder: ArcHolder;
  readonly book: StretchBook;
  readonly stretches: readonly TraceFigures[];
  readonly thresholds: TraceThresholds;
  readonly step: number | undefined;
}

/** What is odd about the signals themselves: probes, offsets, sampling, thresholds that do not fit. */
export function signalFindings(signals: Signals): readonly Finding[] {
  return [
    ...noArc(signals),
    ...opposed(signals),
    ...idle(signals),
    ...slow(signals),
    ...coupled(signals),
    ...bridged(signals),
    ...unusual(signals),
    ...crowded(signals),
  ];
}

function noArc({ trace, stretches, thresholds }: Signals): readonly Finding[] {
  if (stretches.some(({ arcTime }) => arcTime > 0)) return [];
  return [
    {
      code: "trace-no-arc",
      severity: "warning",
      message: `${trace.file}: no current above ${thresholds.arcOn} A for as long as ${thresholds.couponLeast} s`,
      advice:
        "look at the scale of the current column; a small arc needs --threshold arcOn=, a short one --threshold couponLeast=",
    },
  ];
}

function opposed({ trace, stretches }: Signals): readonly Finding[] {
  if (!stretches.some((figures) => figures.opposed)) return [];
  return [
    {
      code: "trace-signs-opposed",
      severity: "info",
      message: `${trace.file}: current and voltage have opposite signs: a clamp or a pair of leads is the wrong way round; powers are taken without their sign`,
    },
  ];
}

function idle({ trace, book, stretches }: Signals): readonly Finding[] {
  const { sum, count } = book.idleCurrent;
  const largest = Math.max(0, ...stretches.map(({ current }) => current.mean));
  const shown = count === 0 ? 0 : sum / count;
  if (Math.abs(shown) <= Math.max(IDLE.least, IDLE.share * largest)) return [];
  return [
    {
      code: "trace-current-offset",
      severity: "warning",
      message: `${trace.file}: with the arc out the current column shows ${significant(shown)} A, so all currents are off by about that`,
      advice: `take it off with --zero current="${significant(shown)} A", or zero the clamp and run again`,
    },
  ];
}

function slow({ trace, holder, thresholds, step }: Signals): readonly Finding[] {
  if (step === undefined || step <= thresholds.bridgedLeast) return [];
  const name = holder === "wire" ? "shorts" : "touches of the tungsten";
  return [
    {
      code: "trace-sampled-slowly",
      severity: "warning",
      message: `${trace.file}: a row every ${significant(step)} s: ${name} of less, and pulses, slip between the rows, and the mean of power may be wrong for a pulsed arc`,
      advice:
        "a kilohertz logger or faster sees them; 10 kHz is usual for measured arc energy (Melfi, Welding Journal 2010)",
    },
  ];
}

/** A sound card takes no direct current: what is left of a steady arc has no mean. */
function coupled({ trace, stretches }: Signals): readonly Finding[] {
  if (trace.format !== "wav" || !stretches.some(({ alternating }) => alternating)) return [];
  return [
    {
      code: "trace-direct-current-lost",
      severity: "warning",
      message: `${trace.file}: the current goes both ways; unless the arc did, the sound card lets no direct current through, and every mean is wrong`,
      advice: "use an input that takes direct current, or a logger",
    },
  ];
}

function bridged({ trace, holder, stretches, thresholds }: Signals): readonly Finding[] {
  const worst = Math.max(0, ...stretches.map(({ bridgedShare }) => bridgedShare));
  if (worst < (holder === "wire" ? 0.5 : 0.2)) return [];
  return [
    {
      code: "trace-mostly-bridged",
      severity: "warning",
      message: `${trace.file}: the voltage is below ${thresholds.bridgedBelow} V for ${percent(worst)} of an arc: that is no arc, or not its voltage`,
      advice:
        "look at the scale of the voltage column, and where its leads sit; --threshold bridgedBelow= moves the line",
    },
  ];
}

/** Voltages no arc of the process shows: a scale that is wrong, or leads that sit elsewhere. */
function unusual({ trace, process, stretches, thresholds }: Signals): readonly Finding[] {
  const range = arcOf(processOf(process))?.usualVoltage;
  if (range === undefined) return [];
  const [lower, upper] = range;
  const odd = stretches.filter(
    ({ arcTime, voltage, bridgedShare }) =>
      arcTime > thresholds.couponLeast &&
      bridgedShare < 0.1 &&
      (voltage.mean < lower || voltage.mean > upper),
  );
  if (odd.length === 0) return [];
  return [
    {
      code: "trace-voltage-unusual",
      severity: "warning",
      message: `${trace.file}: ${counted(odd.length, "run")} of arc at ${significant(odd[0]!.voltage.mean)} V, where arcs of process ${process} show ${lower} to ${upper} V at the torch`,
      advice: "look at the scale of the voltage column, and where its leads sit: cables add a volt or two",
    },
  ];
}

function crowded({ trace, book }: Signals): readonly Finding[] {
  if (book.lostRuns === 0) return [];
  return [
    {
      code: "trace-too-many-runs",
      severity: "warning",
      message: `${trace.file}: more than ${KEPT_RUNS} runs of arc; ${counted(book.lostRuns, "later run")} left out`,
      advice: "a threshold in the middle of the signal does that: look at --threshold arcOn= and arcOff=",
    },
  ];
}
