export type { EnvelopeBand } from "./envelope.js";
export {
  type EventTallies,
  type EventTally,
  type TraceEvent,
  type TraceEventKind,
  traceEventKinds,
} from "./events.js";
export {
  type MeasuredStretch,
  type MeasureOptions,
  measureTrace,
  type TraceMeasure,
} from "./measure-trace.js";
export type { SideChannel, SignalFigures, TraceFigures } from "./stretch.js";
export type { TimeMark } from "./stretch-book.js";
export {
  type ArcHolder,
  arcHolder,
  type TraceThresholds,
  thresholdUnits,
  traceThresholds,
} from "./thresholds.js";
