export {
  CUSUM,
  type CusumPoint,
  cusum,
  EWMA,
  type EwmaPoint,
  ewma,
  movingRanges,
  RANGE_LIMIT,
  RANGE_OF_TWO,
  type Steady,
  steadyFrom,
} from "./charts.js";
export {
  type ControlChart,
  type ControlOptions,
  type ControlPoint,
  controlChart,
  type Shift,
} from "./control-chart.js";
export { type ControlChartName, SHIFT } from "./false-alarms.js";
export {
  type AnovaRow,
  type GaugeAnova,
  type GaugeCell,
  type GaugeReading,
  gaugeAnova,
} from "./gauge-anova.js";
export { type Between, type GaugeComponent, type GaugeStudy, gaugeStudy } from "./gauge-study.js";
export { normalDistance } from "./normal-scatter.js";
export { type ControlReading, type ControlSeries, controlSeries } from "./series.js";
