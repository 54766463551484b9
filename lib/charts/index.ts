export { type BuildTimelineChartData, chartBuildTimeline } from "./build-timeline.js";
export { type ChanceProfile, type ChanceProfileChartData, chartChanceProfiles } from "./chance-profile.js";
export {
  type ComparedRow,
  type ComparisonChartData,
  type ComparisonPanel,
  chartComparison,
} from "./comparison.js";
export { type ConformanceChartData, chartConformance } from "./conformance.js";
export { contourSegments, type Segment } from "./contour.js";
export { type ControlChartData, chartControl } from "./control.js";
export { type CorrelationChartData, chartCorrelations } from "./correlations.js";
export {
  type CouponStage,
  type CoverageAxis,
  type CoverageChartData,
  type CoverageField,
  type CoveragePair,
  chartCoverage,
  coverageCounts,
  gapsText,
} from "./coverage.js";
export { drawBuildTimeline } from "./draw-build.js";
export { drawGroupComparison, drawStudyComparison } from "./draw-comparison.js";
export { coverageOf, drawCoverage } from "./draw-coverage.js";
export { drawCurve } from "./draw-curve.js";
export {
  drawExponents,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
} from "./draw-fit.js";
export { drawGrowth, drawIncidents } from "./draw-incidents.js";
export { drawGain, drawLearning } from "./draw-learning.js";
export { drawCorrelations, drawStations, drawTimeline } from "./draw-study.js";
export { drawSuspects, modelSuspects, suspectsOf } from "./draw-suspects.js";
export { drawChanceProfiles, drawConformance, drawWindowRanges, hasNumbers } from "./draw-window.js";
export { chartEffects, type EffectsChartData } from "./effects.js";
export { chartGain, type GainChartData, type GainRow } from "./gain.js";
export { chartGrowth, type GrowthChartData } from "./growth.js";
export { chartLayerLog, type LayerLogChartData, type LayerSeries } from "./layer-log.js";
export { chartLearning, type LearningChartData } from "./learning.js";
export { escapeMarkup } from "./markup.js";
export { chartNormalQuantiles, type NormalQuantileChartData } from "./normal-quantiles.js";
export { chartPareto, type ParetoChartData } from "./pareto.js";
export { chartPredicted, type PredictedChartData } from "./predicted.js";
export { type RenderOptions, renderSvg, type SvgDisplay, showChart } from "./render.js";
export { chartResiduals, type ResidualChartData } from "./residuals.js";
export { chartResponse, type ResponseChartData, type ResponsePanel, type ResponsePoint } from "./response.js";
export { type HtmlDisplay, showTable, type TableRows } from "./show-table.js";
export {
  axisTitle as printedAxis,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  printedUnit,
} from "./spec.js";
export { chartStandoff, type StandoffChartData } from "./standoff.js";
export { chartStations, type StationBead, type StationChartData } from "./stations.js";
export { chartSuspects, type Suspect, type SuspectChartData } from "./suspects.js";
export { wrapLines } from "./text-width.js";
export { chanceClasses, darkChartCss, onCells } from "./theme.js";
export { type CouponStanding, chartTimeline, type TimelineChartData } from "./timeline.js";
export { chartTrace, type TraceChartData } from "./trace.js";
export { chartWall, type WallChartData } from "./wall.js";
export { chartWindowRanges, type RangeBar, type WindowRangesChartData } from "./window-ranges.js";
