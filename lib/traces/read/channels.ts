import { BeadbenchError } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { convert, isUnit, sameDimension } from "../../units/index.js";

/** What a trace may record, with the unit of each inside the library. */
export const traceUnits = {
  time: "s",
  current: "A",
  voltage: "V",
  feed: "mm/s",
  gas: "L/min",
  oxygen: "ppm",
  temperature: "degC",
} as const;

/** A quantity that a trace may record. */
export type TraceChannel = keyof typeof traceUnits;

/** All of them, in the order of {@link traceUnits}. */
export const traceChannels = Object.keys(traceUnits) as readonly TraceChannel[];

/** What loggers call them: the trade's words and symbols, without blanks and marks. */
const spellings: Readonly<Record<TraceChannel, readonly string[]>> = {
  time: ["time", "t", "elapsedtime", "timestamp"],
  current: ["current", "i", "amps", "amperage", "weldingcurrent", "arccurrent"],
  voltage: ["voltage", "u", "v", "volts", "arcvoltage", "weldingvoltage"],
  feed: ["feed", "wirefeedspeed", "wirefeed", "wirespeed", "wfs"],
  gas: ["gas", "gasflow"],
  oxygen: ["oxygen", "o2", "oxygenlevel"],
  temperature: ["temperature", "temp", "interpasstemperature"],
};

/** Units that no logger leaves open: everything else has two that are common. */
const usualUnits: Readonly<Partial<Record<TraceChannel, string>>> = { current: "A", voltage: "V" };

/** The channel that a column's name means, if any. */
export function channelOf(name: string): TraceChannel | undefined {
  const plain = name.toLowerCase().replace(/[^a-z0-9]/g, "");
  return traceChannels.find((channel) => spellings[channel].includes(plain));
}

/** The heading of a column as name and unit: `current [A]`, `U (V)`, `time / ms`, `I_A`. */
export function readHeading(text: string): { readonly name: string; readonly unit?: string } {
  const plain = text
    .trim()
    .replace(/^"(.*)"$/, "$1")
    .trim();
  const bracketed = /^(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\))$/.exec(plain);
  if (bracketed !== null) return { name: bracketed[1]!, unit: (bracketed[2] ?? bracketed[3] ?? "").trim() };
  const marked = /^(.*?)\s*(?:\/\s*|_)([^\s_/]+)$/.exec(plain);
  const channel = marked === null ? undefined : channelOf(marked[1]!);
  return channel !== undefined && isUnit(marked![2]!) && sameDimension(marked![2]!, traceUnits[channel])
    ? { name: marked![1]!, unit: marked![2]! }
    : { name: plain };
}

/** How a recorded number becomes a value in the channel's unit: `factor x number + offset`. */
export interface ChannelScale {
  readonly factor: number;
  readonly offset: number;
}

/**
 * The scale of a channel in a unit.
 *
 * @param where - the column, for the message
 * @throws {BeadbenchError} `bad-file` without a unit where two are common, or with one of another kind
 */
export function scaleOf(channel: TraceChannel, unit: string | undefined, where: string): ChannelScale {
  const wanted = traceUnits[channel];
  const found = unit === undefined || unit === "" ? usualUnits[channel] : unit;
  if (found === undefined) {
    throw new BeadbenchError(
      "bad-file",
      `${where} has no unit, and ${channel} is recorded in several: write it in the heading, or --column ${channel}="NAME [${wanted}]"`,
    );
  }
  if (!isUnit(found) || !sameDimension(found, wanted)) {
    throw new BeadbenchError(
      "bad-file",
      `${where} is in "${found}", which is no unit of ${channel}: write it with --column ${channel}="NAME [${wanted}]"`,
    );
  }
  const offset = convert(0, found, wanted);
  // What a unit means, without what the difference of two conversions leaves behind the fifteenth digit.
  return { factor: rounds(convert(1, found, wanted) - offset, 15), offset };
}
