import { counted, fixed, percent, significant } from "../numeric/index.js";
import { type SignalFigures, traceEventKinds } from "../traces/index.js";
import { findingsBelow, textTable } from "./text.js";
import type { TraceAnswer, TracedStretch } from "./trace-answer.js";
import type { LoggedTraces } from "./trace-log.js";

/** What a trace tells, for people. */
export function traceText(result: TraceAnswer, logged: LoggedTraces | undefined): string {
  const { file, format, rows, used, step, span, partial, stretches, findings } = result;
  const rate = step === undefined ? "" : `, one every ${significant(step * 1000)} ms`;
  const setAside = used === rows ? "" : `, ${used} of them used`;
  return [
    `${file} (${format}): ${counted(rows, "row")}${setAside}${rate}, ${fixed((span?.[1] ?? 0) - (span?.[0] ?? 0), 1)} s; thresholds of process ${result.process}\n`,
    partial ? "PARTIAL: the file is damaged or cut off; everything below is of the part before\n" : "",
    stretches.length === 0
      ? ""
      : `\n${arcTable(stretches)}\n${powerTable(stretches)}\n${eventTable(stretches)}`,
    setTable(stretches),
    findingsBelow(findings),
    loggedText(logged, stretches),
  ].join("");
}

const right = (title: string): { readonly title: string; readonly align: "right" } => ({
  title,
  align: "right",
});

function arcTable(stretches: readonly TracedStretch[]): string {
  const perLength = stretches.some(({ arcEnergy }) => arcEnergy !== undefined);
  return textTable(
    [
      { title: stretches.some(({ coupon }) => coupon !== undefined) ? "coupon" : "run" },
      ...["from s", "to s", "arc s", "A", "V", "W", "kJ"].map(right),
      ...(perLength ? [right("J/mm")] : []),
    ],
    stretches.map(({ name, from, to, arcTime, current, voltage, power, energy, arcEnergy }) => [
      name,
      from === undefined ? "-" : fixed(from, 2),
      to === undefined ? "-" : fixed(to, 2),
      fixed(arcTime, 2),
      significant(current.mean, 4),
      significant(voltage.mean, 4),
      significant(power, 4),
      significant(energy / 1000, 4),
      ...(perLength ? [arcEnergy === undefined ? "-" : significant(arcEnergy, 4)] : []),
    ]),
  );
}

/** How steady it was, and what two meters would have made of the power. */
function powerTable(stretches: readonly TracedStretch[]): string {
  const off = (product: number, power: number): string =>
    power === 0
      ? "-"
      : `${significant(product, 4)} (${product < power ? "" : "+"}${percent(product / power - 1, 1)})`;
  return textTable(
    [
      { title: "power by" },
      ...["instants W", "means W", "rms W", "peak W", "spread A", "over 0.1 s", "spread V", "over 0.1 s"].map(
        right,
      ),
    ],
    stretches.map(({ name, power, productOfMeans, productOfRms, peakPower, current, voltage }) => [
      name,
      significant(power, 4),
      off(productOfMeans, power),
      off(productOfRms, power),
      significant(peakPower, 4),
      scatter(current.spread, current),
      scatter(current.slowSpread, current),
      scatter(voltage.spread, voltage),
      scatter(voltage.slowSpread, voltage),
    ]),
  );
}

/** A millionth of the mean is what rounding left. */
const scatter = (spread: number | undefined, { mean }: SignalFigures): string =>
  significant(spread === undefined ? Number.NaN : spread < 1e-6 * mean ? 0 : spread);

function eventTable(stretches: readonly TracedStretch[]): string {
  const kinds = traceEventKinds.filter(
    (kind) => kind === "ignition" || stretches.some(({ events }) => events[kind].count > 0),
  );
  return textTable(
    [{ title: "happened" }, ...kinds.map(right), right("longest s"), right("bridged")],
    stretches.map(({ name, events, bridgedShare }) => [
      name,
      ...kinds.map((kind) => String(events[kind].count)),
      significant(Math.max(0, ...traceEventKinds.map((kind) => events[kind].longest))),
      percent(bridgedShare, 1),
    ]),
  );
}

function setTable(stretches: readonly TracedStretch[]): string {
  const rows = stretches.flatMap(({ name, against }) =>
    against.map(({ setting, unit, set, ran, allowed, otherwise }) => [
      name,
      `${setting} [${unit}]`,
      significant(set, 4),
      significant(ran, 4),
      significant(allowed, 2),
      otherwise ? "OTHERWISE" : "as set",
    ]),
  );
  if (rows.length === 0) return "";
  return `\n${textTable([{ title: "coupon" }, { title: "setting" }, right("set"), right("ran"), right("allowed"), { title: "" }], rows)}`;
}

function loggedText(logged: LoggedTraces | undefined, stretches: readonly TracedStretch[]): string {
  if (logged === undefined)
    return stretches.some(({ coupon }) => coupon !== undefined)
      ? "\nNothing was written; --log writes this to the coupons.\n"
      : "";
  return logged.entries === 0
    ? "\nAll of it was on record already.\n"
    : `\nLogged to ${logged.coupons.join(", ")} (${counted(logged.entries, "entry", "entries")}); \`check\` holds it against their settings.\n`;
}

/** Every event that was kept, as CSV. */
export function eventsTable({ events }: TraceAnswer): string {
  const rows = events.map(({ kind, start, duration }) => `${fixed(start, 6)},${fixed(duration, 6)},${kind}`);
  return `${["start [s],duration [s],event", ...rows].join("\n")}\n`;
}
