import { closeSync, openSync, readSync, statSync } from "node:fs";
import { BeadbenchError, type Finding } from "../../errors/index.js";
import { counted } from "../../numeric/index.js";
import { type TraceChannel, traceChannels, traceUnits } from "./channels.js";
import { chosenScale } from "./choose-columns.js";
import {
  BATCH_ROWS,
  batchColumns,
  type TraceBatch,
  type TraceColumn,
  type TraceEnd,
  type TraceFile,
  type TraceOptions,
} from "./trace.js";

/** Channels of a sound card where nothing is said: left is current, right is voltage. */
const usualPlaces: Readonly<Partial<Record<TraceChannel, number>>> = { current: 0, voltage: 1 };
const PCM = 1;
const FLOAT = 3;
const EXTENSIBLE = 0xfffe;
/** The size that a writer leaves who could not come back to the header, and that of a file beyond 4 GiB. */
const UNKNOWN_SIZE = 0xffffffff;

interface WavLayout {
  readonly rate: number;
  readonly channels: number;
  readonly frame: number;
  readonly sample: (view: DataView, at: number) => number;
  readonly dataAt: number;
  /** Bytes of samples that the file really holds. */
  readonly bytes: number;
  readonly findings: readonly Finding[];
}

type ChannelAt = TraceColumn & { readonly at: number };

/**
 * A WAV trace of a sound-card logger: PCM of 8, 16, 24 or 32 bits or floating point, each channel from -1 to 1 of its
 * full scale, which the user says.
 *
 * @source RIFF/WAVE as in Multimedia Programming Interface and Data Specifications 1.0 (1991); RF64 in EBU Tech 3306
 */
export function openWav(
  { path, file }: { readonly path: string; readonly file: string },
  options: TraceOptions,
): TraceFile {
  const layout = readLayout(path, file);
  const columns = channelsOf(file, layout, options);
  return {
    file,
    format: "wav",
    columns: columns.map(({ at: _, ...column }) => column),
    rate: layout.rate,
    batches: () => batchesOf({ path, layout, columns }),
  };
}

function channelsOf(file: string, { channels }: WavLayout, options: TraceOptions): readonly ChannelAt[] {
  const refuse = (why: string): BeadbenchError => new BeadbenchError("bad-file", `${file}: ${why}`);
  return traceChannels.flatMap((channel): readonly ChannelAt[] => {
    const named = options.columns?.[channel];
    const at = named === undefined ? usualPlaces[channel] : Number(named) - 1;
    if (at === undefined || channel === "time") return [];
    if (!Number.isInteger(at) || at < 0 || at >= channels)
      throw refuse(
        `has ${counted(channels, "channel")}, and ${channel} is looked for in ${named ?? `channel ${at + 1}`}: write its number, as in --column ${channel}=1`,
      );
    if (options.scales?.[channel] === undefined)
      throw refuse(
        `a WAV file has no units: say what full scale of ${channel} is, as in --scale ${channel}="500 ${traceUnits[channel]}"`,
      );
    const scale = chosenScale({ file, channel, unit: undefined, name: `${at + 1}`, options });
    return [{ channel, at, source: `${at + 1}`, ...scale }];
  });
}

function readLayout(path: string, file: string): WavLayout {
  const size = statSync(path).size;
  const handle = openSync(path, "r");
  const refuse = (why: string): BeadbenchError => new BeadbenchError("bad-file", `${file}: ${why}`);
  const view = (at: number, length: number): DataView => {
    const bytes = new Uint8Array(length);
    const read = readSync(handle, bytes, 0, length, at);
    if (read < length)
      throw refuse(`ends within its header, at byte ${at + read}: the recording holds no samples`);
    return new DataView(bytes.buffer);
  };
  const word = (from: DataView, at: number): string =>
    String.fromCharCode(...Array.from({ length: 4 }, (_, i) => from.getUint8(at + i)));
  try {
    let format: Omit<WavLayout, "dataAt" | "bytes" | "findings"> | undefined;
    let longSize: number | undefined;
    let at = 12;
    for (;;) {
      if (at + 8 > size) throw refuse("has no samples: its data chunk is missing");
      const head = view(at, 8);
      const [name, length] = [word(head, 0), head.getUint32(4, true)];
      if (name === "ds64") longSize = Number(view(at + 8, 16).getBigUint64(8, true));
      if (name === "fmt ") format = readFormat(view(at + 8, Math.min(length, 40)), refuse);
      if (name === "data") {
        if (format === undefined) throw refuse("its samples come before their format");
        const said = length === UNKNOWN_SIZE ? longSize : length;
        return {
          ...format,
          dataAt: at + 8,
          ...heldBytes({ file, said, held: size - at - 8, frame: format.frame }),
        };
      }
      at += 8 + length + (length % 2);
    }
  } finally {
    closeSync(handle);
  }
}

function readFormat(
  view: DataView,
  refuse: (why: string) => BeadbenchError,
): Omit<WavLayout, "dataAt" | "bytes" | "findings"> {
  if (view.byteLength < 16) throw refuse("its format chunk is too short");
  const stated = view.getUint16(0, true);
  const kind = stated === EXTENSIBLE && view.byteLength >= 26 ? view.getUint16(24, true) : stated;
  const [channels, rate, bits] = [view.getUint16(2, true), view.getUint32(4, true), view.getUint16(14, true)];
  const sample = sampleReader(kind, bits);
  if (sample === undefined)
    throw refuse(
      `holds ${bits}-bit samples of format ${kind}; save it as PCM of 8, 16, 24 or 32 bits, or as floating point`,
    );
  if (rate === 0 || channels === 0)
    throw refuse(`says ${rate} samples a second in ${counted(channels, "channel")}`);
  return { rate, channels, frame: (channels * bits) / 8, sample };
}

/** How a sample is read, from -1 to 1 of full scale. */
function sampleReader(kind: number, bits: number): WavLayout["sample"] | undefined {
  if (kind === FLOAT && bits === 32) return (view, at) => view.getFloat32(at, true);
  if (kind === FLOAT && bits === 64) return (view, at) => view.getFloat64(at, true);
  if (kind !== PCM) return undefined;
  if (bits === 8) return (view, at) => (view.getUint8(at) - 128) / 128;
  if (bits === 16) return (view, at) => view.getInt16(at, true) / 32_768;
  if (bits === 24) return (view, at) => ((view.getInt8(at + 2) << 16) | view.getUint16(at, true)) / 8_388_608;
  return bits === 32 ? (view, at) => view.getInt32(at, true) / 2_147_483_648 : undefined;
}

/** What a header says of its samples is often wrong: a recorder that was stopped wrote it before it knew. */
function heldBytes({
  file,
  said,
  held,
  frame,
}: {
  readonly file: string;
  readonly said: number | undefined;
  readonly held: number;
  readonly frame: number;
}): Pick<WavLayout, "bytes" | "findings"> {
  const unsaid = said === undefined || said === 0;
  const bytes = unsaid ? held : Math.min(said, held);
  const rows = Math.floor(bytes / frame);
  const findings: Finding[] = [];
  if (unsaid && held > 0)
    findings.push({
      code: "trace-length-unsaid",
      severity: "info",
      message: `${file}: the header does not say how long the recording is; all ${counted(rows, "row")} to the end of the file were read`,
    });
  else if (!unsaid && (said > held || bytes % frame !== 0))
    findings.push({
      code: "trace-cut-off",
      severity: "warning",
      message: `${file} (row ${rows + 1}): the header says ${Math.floor(said / frame)} rows, the file ends after ${rows}; these were read`,
      advice: "the recorder was stopped or the copy broke off; what follows counts the part before alone",
    });
  return { bytes: rows * frame, findings };
}

function* batchesOf({
  path,
  layout,
  columns,
}: {
  readonly path: string;
  readonly layout: WavLayout;
  readonly columns: readonly ChannelAt[];
}): Generator<TraceBatch, TraceEnd, void> {
  const { rate, frame, channels, sample, dataAt, bytes, findings } = layout;
  const batch = batchColumns(columns.map(({ channel }) => channel));
  const buffer = new Uint8Array(BATCH_ROWS * frame);
  const view = new DataView(buffer.buffer);
  const rows = bytes / frame;
  const handle = openSync(path, "r");
  try {
    for (let first = 0; first < rows; first += BATCH_ROWS) {
      const length = Math.min(BATCH_ROWS, rows - first);
      readSync(handle, buffer, 0, length * frame, dataAt + first * frame);
      for (let i = 0; i < length; i += 1) batch.time[i] = (first + i) / rate;
      for (const { channel, at, factor, offset } of columns) {
        const values = batch[channel]!;
        const start = (at * frame) / channels;
        for (let i = 0; i < length; i += 1) values[i] = sample(view, i * frame + start) * factor + offset;
      }
      yield { first: first + 1, length, columns: batch };
    }
  } finally {
    closeSync(handle);
  }
  return { rows, partial: findings.some(({ severity }) => severity === "warning"), findings };
}
