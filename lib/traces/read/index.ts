export { type ChannelScale, type TraceChannel, traceChannels, traceUnits } from "./channels.js";
export { openTrace } from "./open-trace.js";
export type { TraceBatch, TraceColumn, TraceEnd, TraceFile, TraceOptions } from "./trace.js";
export { BATCH_ROWS, batchColumns } from "./trace.js";
