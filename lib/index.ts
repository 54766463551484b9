// The whole public API, in the order of the work: study, plan, check, fit, window, next, preset, charts, report;
// whole layers, for work of one's own, stand at the end. What only the layers need stays behind their doors.

// Study: the definition, the record that loses nothing, CSV in and out, the invented demo
export {
  type AttachedBody,
  type AttachOptions,
  appendEntries,
  attachFile,
  type Base,
  type BuildBody,
  type BuildStep,
  type Change,
  type ChangeBody,
  type Clock,
  type CorrectedBody,
  type CorrectionChange,
  type Costs,
  type DefinedStudy,
  type StudyData,
  type DecimalMark,
  type EntrySeal,
  type Exposure,
  type ExposureKind,
  exposureUnits,
  type Gas,
  type GradeResult,
  type Incident,
  type IncidentBody,
  type JournalFault,
  type KindCases,
  type LinearLimit,
  type LoggedBody,
  type MeasuredResult,
  type Note,
  type OnEvent,
  type NoteBody,
  type PassFailResult,
  type PlannedBody,
  type QuantityLimit,
  type Rig,
  type Scatter,
  type Separator,
  type SkippedRow,
  type WhyImpossible,
  type Spec,
  type Values,
  type VoidedBody,
  type Wire,
  type WithResults,
  type KindRules,
  responseKinds,
  type Coupon,
  type CsvImport,
  correctionOf,
  couponTable,
  createDemoStudy,
  createRingStudy,
  createStudy,
  type DraftDefinition,
  type DraftOptions,
  demoDefinition,
  draftDefinitionFromCsv,
  type Entry,
  type EntryBody,
  type ExportOptions,
  exportCsv,
  type Factor,
  type ImportOptions,
  importCsv,
  type JournalCheck,
  type Limit,
  matchKind,
  measuredOf,
  openStudy,
  parseStudyDefinition,
  type Response,
  type ResponseKind,
  type ResponseSummary,
  type IncidentTally,
  incidentTable,
  type Result,
  resultOf,
  STUDY_SCHEMA,
  type Study,
  type StudyDefinition,
  type StudyEvent,
  scratchFolder,
  summariseResponses,
  tallyIncidents,
  verifyAttachments,
  verifyJournal,
  type WriteOptions,
} from "./study/index.js";

// Plan: the first coupons, judged before any spark
export { evaluatePlan, type PlanOptions, planCoupons } from "./design/index.js";
export {
  type Believed,
  believedPriors,
  buildOutcomeModel,
  dimensionsChance,
  type OutcomeModel,
  type OutcomeModelOptions,
  type Prior,
  type PriorName,
  type Priors,
  type PriorValues,
  priors,
  type SettingLimit,
  settingLimits,
} from "./models/index.js";

// Check: what physics and the repeats say of the record
export {
  type CheckedStudy,
  checkStudy,
  type SoundCoupons,
  soundCoupons,
  type CouponCost,
  couponCost,
  derivedQuantities,
  judgeCoupon,
  type MassBalance,
  type PhysicalQuantity,
  type PhysicalSetting,
  type PureError,
  physicalUnits,
  type RigPhysics,
  rigPhysics,
  type StudyCheck,
  type Verdict,
} from "./models/index.js";

// Fit: how a bead answers to its settings
export {
  type BeadPrediction,
  type FormName,
  type FormQuality,
  fitStudy,
  type LayerSelection,
  type LayerSet,
  type Settings,
  predictBead,
  type ResponseFit,
  type StudyFit,
  type StudyFitOptions,
  type TogetherFit,
  selectLayers,
} from "./models/index.js";
// Fit: two days or studies compared; the rig's own readings: wire melting, the arc's stop, gauges, the stand-off layer by layer, sections
export * from "./models/arc-stop/index.js";
export * from "./models/calibration/index.js";
export * from "./models/comparison/index.js";
export * from "./models/section/index.js";
export * from "./models/standoff/index.js";
export * from "./models/stickout/index.js";

// Window and next: the chance that a coupon conforms, how far each setting may drift, the coupons worth running
export {
  type ChanceMap,
  type Consumption,
  type CouponExpense,
  type LearnedBatch,
  type LearningStep,
  type Lesson,
  type Reason,
  type Confirmation,
  type Conformance,
  confirmClaim,
  conformance,
  type Desirability,
  type DesirabilityGoal,
  type DriftSensitivity,
  desirability,
  driftSensitivity,
  findWindow,
  type ProcessWindow,
  type SettingWithUnit,
  type TradeOff,
  type WindowEllipsoid,
  type WindowRange,
  type TradeOffOptions,
  type TradeOffs,
  type TriedCoupon,
  tradeOffs,
  type WindowOptions,
  type Aim,
  type CouponGains,
  expectedGains,
  type LearningCurve,
  type LearningOptions,
  learningCurve,
  type StoppingAdvice,
  type Proposal,
  type Proposals,
  type ProposeOptions,
  proposeNext,
  type ForeseenResponse,
  type PredictedResponse,
  type Recommendation,
  recommendPreset,
} from "./window/index.js";

// Preset: the recommended settings, for other programs
export * from "./presets/index.js";

// Walls and long builds: a schedule layer by layer, what went wrong, what a build needs, and how it stands
export {
  type ConstantRise,
  type CouponHint,
  type ForetoldSize,
  type LayerBand,
  type LayerSchedule,
  planWall,
  type ScheduledLayer,
  type WallCoupon,
  type WallLever,
  type WallPlan,
  type WallReading,
  type WallSettings,
  type WallTask,
  type Attempt,
  aroundChanges,
  attempts,
  assume,
  type BuildForecast,
  type BuildPlan,
  type BuildProgress,
  buildProgress,
  counters,
  equalLayers,
  forecastBuild,
  growthOfIncidents,
  incidentSettings,
  type IncidentJudgement,
  judgeIncidents,
  type Ledger,
  type RunRecord,
  runningLedger,
  survivalOfBuilds,
} from "./endurance/index.js";

// Charts of results
export {
  type ChartSpec,
  drawBuildTimeline,
  drawChanceProfiles,
  drawConformance,
  drawCorrelations,
  drawCoverage,
  drawCurve,
  drawExponents,
  drawGroupComparison,
  drawGain,
  drawGrowth,
  drawIncidents,
  drawLearning,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
  drawStations,
  drawStudyComparison,
  drawSuspects,
  drawTimeline,
  drawWindowRanges,
  type RenderOptions,
  renderSvg,
  showChart,
  showTable,
} from "./charts/index.js";

// Report: one page to keep
export * from "./report/index.js";

// Errors and findings
export {
  BeadbenchError,
  type ErrorCode,
  type Finding,
  formatIssue,
  type Issue,
  type NumberBounds,
} from "./errors/index.js";

// Whole layers, for work of one's own
export * as charts from "./charts/index.js";
export * as design from "./design/index.js";
export * as endurance from "./endurance/index.js";
export * as bead from "./models/bead/index.js";
export * as curves from "./models/decay/index.js";
export * as outcome from "./models/outcome/index.js";
export * as plausibility from "./models/plausibility/index.js";
export * as numeric from "./numeric/index.js";
export * as physics from "./process/index.js";
export * as regression from "./regression/index.js";
export * as units from "./units/index.js";
