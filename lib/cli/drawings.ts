import {
  type ChartSpec,
  chartControl,
  drawChanceProfiles,
  drawConformance,
  drawCorrelations,
  drawCoverage,
  drawExponents,
  drawGain,
  drawGrowth,
  drawIncidents,
  drawLearning,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
  drawStations,
  drawSuspects,
  drawTimeline,
  drawWindowRanges,
  hasNumbers,
} from "../charts/index.js";
import {
  controlChart,
  controlSeries,
  growthOfIncidents,
  judgeIncidents,
  runningLedger,
} from "../endurance/index.js";
import { BeadbenchError, onlyDefined } from "../errors/index.js";
import { type buildOutcomeModel, checkStudy, fitStudy, outcomeData } from "../models/index.js";
import { countedBy } from "../report/index.js";
import { keptOf, measuredOf, type Study } from "../study/index.js";
import { suggestion } from "../study/shape/index.js";
import { expectedGains, findWindow, learningCurve } from "../window/index.js";
import { modelFrom, type OutcomeBasis, type OutcomeOptions } from "./outcome.js";

/** What a drawing is made from: a study, and what is computed of it once, when first asked for. */
export interface DrawingSource {
  readonly study: Study;
  /** Coupons left out. */
  readonly without: readonly string[];
  /** The measured response to draw. */
  readonly response: () => { readonly name: string; readonly unit: string };
  readonly fitted: () => ReturnType<typeof fitStudy>;
  readonly check: () => ReturnType<typeof checkStudy>;
  readonly model: () => ReturnType<typeof buildOutcomeModel>;
  readonly window: () => ReturnType<typeof findWindow>;
  readonly learning: () => ReturnType<typeof learningCurve>;
}

/** A chart of a study. */
export interface Drawing {
  readonly name: string;
  readonly what: string;
  /** Undefined where the study has nothing of it. */
  readonly draw: (source: DrawingSource) => ChartSpec | undefined;
  /** When it draws nothing. */
  readonly needs: string;
}

/** Every chart of a study, in the order of the work. */
export const drawings: readonly Drawing[] = [
  {
    name: "timeline",
    what: "coupons in run order by block, with changes of equipment",
    needs: "coupons that were run",
    draw: ({ study, without }) =>
      study.coupons.every(({ state }) => state === "planned") ? undefined : drawTimeline(study, without),
  },
  {
    name: "coverage",
    what: "coupons over every two settings, and where none is",
    needs: "a setting",
    draw: ({ study, without }) => drawCoverage(keptOf(study, without)),
  },
  {
    name: "correlations",
    what: "settings that moved together",
    needs: "two settings that were varied",
    draw: ({ check }) => drawCorrelations(check().confounding),
  },
  {
    name: "suspects",
    what: "coupons that may be wrong, by their chance",
    needs: "a coupon the check suspects",
    draw: ({ study, check, model }) => drawSuspects(study, check(), model()),
  },
  {
    name: "stations",
    what: "readings along beads that have odd ones",
    needs: "a reading that looks lost or mistyped",
    draw: ({ study, response }) => drawStations(study, response()),
  },
  {
    name: "control",
    what: "drift of the rig over its control coupons",
    needs: "coupons at one setting",
    draw: (source) => {
      const {
        response: name,
        unit,
        readings,
      } = controlSeries(keptOf(source.study, source.without), source.response().name);
      return chartControl({ quantity: { name, unit }, control: controlChart(readings) });
    },
  },
  {
    name: "effects",
    what: "what each setting does to a response",
    needs: "a fit",
    draw: ({ fitted, response }) => drawExponents(fitted(), response().name),
  },
  {
    name: "response",
    what: "a response against each setting",
    needs: "a fit",
    draw: (source) =>
      drawResponse(source.study, source.fitted(), {
        response: source.response().name,
        at: bestSettings(source),
      }),
  },
  {
    name: "predicted",
    what: "measured against predicted",
    needs: "a fit",
    draw: ({ study, fitted, response }) => drawPredicted(study, fitted(), response().name),
  },
  {
    name: "residuals",
    what: "residuals in run order",
    needs: "a fit",
    draw: ({ study, fitted, response }) => drawResiduals(study, fitted(), response().name),
  },
  {
    name: "quantiles",
    what: "residuals against a normal distribution",
    needs: "a fit",
    draw: ({ study, fitted, response }) => drawNormalQuantiles(study, fitted(), response().name),
  },
  {
    name: "map",
    what: "chance to conform over two settings",
    needs: "two numeric settings",
    draw: ({ study, window }) => drawConformance(study, window()),
  },
  {
    name: "window",
    what: "how far each setting may move",
    needs: "a numeric setting",
    draw: ({ study, window }) => (hasNumbers(study) ? drawWindowRanges(study, window()) : undefined),
  },
  {
    name: "profiles",
    what: "chance to conform along each setting",
    needs: "a numeric setting",
    draw: ({ study, model, window }) =>
      hasNumbers(study) ? drawChanceProfiles(model(), window()) : undefined,
  },
  {
    name: "learning",
    what: "best chance against the coupons run",
    needs: "a setting",
    draw: ({ learning }) => drawLearning(learning()),
  },
  {
    name: "gain",
    what: "what coupons added to the best chance, and what planned ones are expected to",
    needs: "coupons run or planned",
    draw: (source) => drawGain(source.learning(), plannedGains(source)),
  },
  {
    name: "incidents",
    what: "what each kind of incident cost",
    needs: "an incident",
    draw: ({ study }) => (study.incidents.length === 0 ? undefined : drawIncidents(judgeIncidents(study))),
  },
  {
    name: "growth",
    what: "incidents over all running",
    needs: "an incident, and running that was told",
    draw: ({ study }) =>
      study.incidents.length === 0
        ? undefined
        : drawGrowth(study, growthOfIncidents(study, { per: countedBy(runningLedger(study)) })),
  },
];

/** The planned coupons of a study with the rise expected of each. */
function plannedGains({ study, model }: DrawingSource) {
  const planned = study.coupons.filter(({ state }) => state === "planned");
  if (planned.length === 0) return [];
  const { alone } = expectedGains(
    model(),
    planned.map(({ settings }) => settings),
  );
  return planned.map(({ id }, i) => ({ name: id, expected: alone[i]! }));
}

const bestSettings = ({ window }: DrawingSource) =>
  Object.fromEntries(window().best.settings.map(({ factor, value }) => [factor, value]));

/** What a drawing may be made of instead of the whole study. */
export interface DrawingChoices extends Pick<OutcomeOptions, "without" | "layers"> {
  /** The measured response to draw. Default: the first that was measured. */
  readonly response?: string;
  /** What the outcome model is built from. Default: the coupons chosen. */
  readonly basis?: () => OutcomeBasis;
}

/** What drawings of a study are made from; nothing is computed before a drawing asks. */
export function drawingSource(
  study: Study,
  {
    response: wanted,
    without,
    layers,
    basis = () => ({ ...outcomeData(study, onlyDefined({ without, layers })), choices: {} }),
  }: DrawingChoices = {},
): DrawingSource {
  const chosen = onlyDefined({ without, layers });
  const used = once(basis);
  const model = once(() => modelFrom(used()));
  return {
    study,
    without: without ?? [],
    response: once(() => responseOf(study, wanted)),
    fitted: once(() => fitStudy(study, chosen)),
    check: once(() => checkStudy(study)),
    model,
    window: once(() => findWindow(model())),
    learning: once(() => learningCurve(study, { ...used().choices, ...chosen })),
  };
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

/** The measured response named, or the first that some coupon has. */
function responseOf({ definition, coupons }: Study, wanted: string | undefined) {
  const measured = definition.responses.filter(({ kind }) => kind === "measured");
  const names = measured.map(({ name }) => name);
  const found =
    wanted === undefined
      ? (measured.find(({ name }) => coupons.some((coupon) => measuredOf(coupon, name) !== undefined)) ??
        measured[0])
      : measured.find(({ name }) => name === wanted);
  if (found !== undefined) return found;
  throw new BeadbenchError(
    "bad-argument",
    wanted === undefined
      ? "this study measures no response"
      : `the study measures no response "${wanted}"${suggestion(wanted, names) || `; measured: ${names.join(", ") || "none"}`}`,
  );
}

/**
 * The drawing of a name.
 *
 * @throws {BeadbenchError} `bad-argument` for a name that is none
 */
export function drawingNamed(name: string): Drawing {
  const found = drawings.find((one) => one.name === name);
  if (found !== undefined) return found;
  const names = drawings.map((one) => one.name);
  throw new BeadbenchError(
    "bad-argument",
    `no chart is called "${name}"${suggestion(name, names) || `; there are ${names.join(", ")}`}`,
  );
}
