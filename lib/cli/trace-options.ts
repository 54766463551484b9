import { BeadbenchError } from "../errors/index.js";
import { suggestion } from "../study/shape/index.js";
import {
  type TraceChannel,
  type TraceThresholds,
  thresholdUnits,
  traceChannels,
  traceUnits,
} from "../traces/index.js";
import { namedText, typedIn } from "./options.js";

type ByChannel<T> = Readonly<Partial<Record<TraceChannel, T>>>;

/** Words such as `current=CH1`. */
export function columnWords(items: readonly string[] = []): ByChannel<string> {
  return Object.fromEntries(items.map((item) => channelWord("--column", item)));
}

/** Words such as `current="500 A"`; a bare number is in the channel's own unit. */
export function quantityWords(option: string, items: readonly string[] = []): ByChannel<number> {
  return Object.fromEntries(
    items.map((item) => {
      const [channel, text] = channelWord(option, item);
      return [channel, numberIn(text, traceUnits[channel])];
    }),
  );
}

/** Words such as `arcOn="20 A"`; a bare number is in the threshold's own unit. */
export function thresholdWords(items: readonly string[] = []): Partial<TraceThresholds> {
  return Object.fromEntries(
    items.map((item) => {
      const [name, text] = namedText(item, 'write it as name=value, such as arcOn="20 A"');
      const known = Object.keys(thresholdUnits);
      if (!known.includes(name))
        throw new BeadbenchError(
          "bad-argument",
          `there is no threshold "${name}"${suggestion(name, known) || `; there are ${known.join(", ")}`}`,
        );
      return [name, numberIn(text, thresholdUnits[name as keyof TraceThresholds])];
    }),
  );
}

function channelWord(option: string, item: string): readonly [channel: TraceChannel, text: string] {
  const [name, text] = namedText(
    item,
    `write it as channel=value, such as ${option} current=${option === "--column" ? "CH1" : '"500 A"'}`,
  );
  const channel = traceChannels.find((known) => known === name);
  if (channel === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `${option}: there is no channel "${name}"${suggestion(name, traceChannels) || `; there are ${traceChannels.join(", ")}`}`,
    );
  return [channel, text];
}

const numberIn = (text: string, unit: string): number =>
  /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i.test(text) ? Number(text) : typedIn(text, unit);
