import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openTrace, type TraceChannel, type TraceEnd, type TraceOptions } from "../../lib/traces/index.js";

const folder = mkdtempSync(join(tmpdir(), "traces-"));
let files = 0;

/** A file of a folder that goes with the machine's temporary files. */
export function traceFile(content: string | Uint8Array, name = "trace.csv"): string {
  files += 1;
  const path = join(folder, `${files}-${name}`);
  writeFileSync(path, content);
  return path;
}

/** A path in the same folder for someone else to write. */
export const freePath = (name: string): string => {
  files += 1;
  return join(folder, `${files}-${name}`);
};

/** Everything a trace holds, as plain lists, and how its reading ended. */
export async function readAll(
  path: string,
  options: TraceOptions = {},
): Promise<{
  readonly end: TraceEnd;
  readonly rows: Readonly<Partial<Record<TraceChannel, number[]>>>;
  readonly batches: number;
}> {
  const trace = await openTrace(path, options);
  const rows: Partial<Record<TraceChannel, number[]>> = {};
  const reader = trace.batches();
  for (let batches = 0; ; batches += 1) {
    const next = reader.next();
    if (next.done === true) return { end: next.value, rows, batches };
    const { columns, length } = next.value;
    for (const [channel, values] of Object.entries(columns) as [TraceChannel, Float64Array][]) {
      const list = rows[channel] ?? [];
      for (let i = 0; i < length; i += 1) list.push(values[i]!);
      rows[channel] = list;
    }
  }
}

/** A CSV text of a header and rows. */
export const csvText = (header: string, rows: readonly (readonly (number | string)[])[]): string =>
  `${[header, ...rows.map((row) => row.join(","))].join("\n")}\n`;
