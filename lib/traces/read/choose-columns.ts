import { BeadbenchError } from "../../errors/index.js";
import { channelOf, readHeading, scaleOf, type TraceChannel, traceChannels } from "./channels.js";
import type { TraceColumn, TraceOptions } from "./trace.js";

/** A column as a table has it. */
export interface TableHeading {
  readonly name: string;
  readonly unit?: string;
}

/** A column that is read, with its place in the table, from 0. */
export type ChosenColumn = TraceColumn & { readonly at: number };

/**
 * Which columns of a table are read as what: those that were named, else those whose headings say so.
 *
 * @throws {BeadbenchError} `bad-file` without current, voltage, or time and rate; where two columns mean one channel
 */
export function chooseColumns(
  file: string,
  headings: readonly TableHeading[],
  options: TraceOptions,
): readonly ChosenColumn[] {
  const chosen = traceChannels.flatMap((channel): readonly ChosenColumn[] => {
    if (channel === "time" && options.rate !== undefined) return [];
    const wanted = options.columns?.[channel];
    const at = wanted === undefined ? meantAt(file, headings, channel) : namedAt(file, headings, wanted);
    if (at === undefined) return [];
    const { name, unit } = headings[at]!;
    const stated = wanted === undefined ? undefined : readHeading(wanted).unit;
    return [
      { channel, at, source: name, ...chosenScale({ file, channel, unit: stated ?? unit, name, options }) },
    ];
  });
  const missing = (["time", "current", "voltage"] as const).find(
    (channel) =>
      !chosen.some((column) => column.channel === channel) &&
      (channel !== "time" || options.rate === undefined),
  );
  if (missing === undefined) return chosen;
  const has = headings.map(({ name }, i) => (name === "" ? `${i + 1}` : `"${name}"`)).join(", ");
  const how =
    missing === "time"
      ? `say which with --column time="NAME [s]", or give --rate "10 kHz" where rows come evenly`
      : `say which with --column ${missing}=NAME (or its number)`;
  throw new BeadbenchError("bad-file", `${file}: no column is read as ${missing}; it has ${has}: ${how}`);
}

/** The scale of a column: what was given goes before what the heading says. */
export function chosenScale({
  file,
  channel,
  unit,
  name,
  options,
}: {
  readonly file: string;
  readonly channel: TraceChannel;
  readonly unit: string | undefined;
  readonly name: string;
  readonly options: TraceOptions;
}): { readonly factor: number; readonly offset: number } {
  const scale = options.scales?.[channel];
  const zero = options.zeros?.[channel] ?? 0;
  const { factor, offset } =
    scale === undefined ? scaleOf(channel, unit, `${file}: column "${name}"`) : { factor: scale, offset: 0 };
  return { factor, offset: offset - zero };
}

function meantAt(file: string, headings: readonly TableHeading[], channel: TraceChannel): number | undefined {
  const places = headings.flatMap(({ name }, at) => (channelOf(name) === channel ? [at] : []));
  if (places.length < 2) return places[0];
  const names = places.map((at) => `"${headings[at]!.name}" (column ${at + 1})`).join(" and ");
  throw new BeadbenchError(
    "bad-file",
    `${file}: ${names} both read as ${channel}: say which with --column ${channel}=${places[0]! + 1}`,
  );
}

function namedAt(file: string, headings: readonly TableHeading[], wanted: string): number {
  const { name } = readHeading(wanted);
  const byName = headings.findIndex((heading) => heading.name.toLowerCase() === name.toLowerCase());
  const at = byName >= 0 || !/^\d+$/.test(name) ? byName : Number(name) - 1;
  if (headings[at] !== undefined) return at;
  const has = headings.map((heading, i) => `${i + 1} ("${heading.name}")`).join(", ");
  throw new BeadbenchError("bad-file", `${file} has no column "${name}"; it has ${has}`);
}
