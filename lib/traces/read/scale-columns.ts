import type { TraceBatch, TraceColumn } from "./trace.js";

/** Brings columns as recorded to the units of `traceUnits`, in place. */
export function scaleColumns(
  columns: TraceBatch["columns"],
  scales: readonly TraceColumn[],
  length: number,
): void {
  for (const { channel, factor, offset } of scales) {
    const values = columns[channel];
    if (values === undefined || (factor === 1 && offset === 0)) continue;
    for (let i = 0; i < length; i += 1) values[i] = values[i]! * factor + offset;
  }
}
