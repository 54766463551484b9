import type { Finding } from "../../errors/index.js";
import { fixed, significant, tCdf } from "../../numeric/index.js";
import { type ConvergedFit, fitLinear, type Model, runOrderDrift } from "../../regression/index.js";
import type { DecayForm } from "./decay-model.js";
import type { DecayKind, DecayRange, UnfittedDecay } from "./types.js";

/** Chance below which a departure from one exponential is reported. */
const ODD = 0.01;

/** The result for readings that determine no decay. */
export function unfitted(status: UnfittedDecay["status"], kind: DecayKind): UnfittedDecay {
  const { quantity, floorName } = kind;
  const finding: Finding =
    status === "no-decay"
      ? {
          code: "no-decay",
          severity: "error",
          message: `the ${quantity} does not fall towards a value at which it settles`,
          advice: `check the times, leave out readings from before the decay began, and log until it hardly falls any more (or measure ${floorName} and give it)`,
        }
      : {
          code: "decay-not-told",
          severity: "error",
          message: `the readings tell neither how fast the ${quantity} falls nor where it settles`,
          advice: `log until it hardly falls any more, or measure ${floorName} and give it`,
        };
  return { status, findings: [finding] };
}

/** What a fitted decay has to say about itself. */
export function decayFindings({
  fit,
  model,
  kind,
  form,
  floor,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly kind: DecayKind;
  readonly form: DecayForm;
  readonly floor: DecayRange;
}): readonly Finding[] {
  return [...shapeFindings(fit, model, form), ...floorFindings({ fit, kind, form, floor })];
}

/**
 * Looks for a decay that is not one exponential: bent (score test of p = 1 in rise exp(-(t/tau)^p)), or with
 * neighbouring readings alike (von Neumann's ratio).
 */
function shapeFindings(fit: ConvergedFit, model: Model, form: DecayForm): readonly Finding[] {
  const findings: Finding[] = [];
  if (fit.df < 3 || fit.residualSd === 0) return findings;
  const { t, p } = bendTest(fit, model, form);
  if (p < ODD) {
    findings.push({
      code: "not-one-exponential",
      severity: "warning",
      message: `the readings fall ${t < 0 ? "faster at first and slower later" : "slower at first and faster later"} than one exponential (chance ${significant(p, 2)})`,
      advice:
        "the time constant is a mean over the log and its limits are too narrow: leave out the first readings, before things have evened out, or fit early and late ones apart",
    });
  }
  const { serialP, serialCorrelation } = runOrderDrift(
    fit,
    model,
    fit.residuals.map((_, i) => i),
  );
  if (serialP < ODD && serialCorrelation > 0) {
    findings.push({
      code: "readings-wander",
      severity: "warning",
      message: `neighbouring readings miss the curve on the same side (correlation ${fixed(serialCorrelation, 2)}, chance ${significant(serialP, 2)})`,
      advice:
        "limits are too narrow: a slow or drifting sensor, readings closer together than it answers, or a curve that is not one exponential; keep every few readings only",
    });
  }
  return findings;
}

/** t of one more parameter, the exponent of t/tau: residuals regressed on the tangent plane and its slope. */
function bendTest(
  fit: ConvergedFit,
  model: Model,
  form: DecayForm,
): { readonly t: number; readonly p: number } {
  const { estimates, observations, residuals, fitted } = fit;
  const [rise, rate] = estimates.slice(-2) as [number, number];
  const rows = observations.x.map((row, i) => {
    const u = rate * row[0]!;
    const slope = u === 0 ? 0 : -rise * Math.exp(-u) * u * Math.log(u);
    return [
      ...model.gradient!(estimates, row),
      form.scatter === "proportional" ? slope / Math.exp(fitted[i]!) : slope,
    ];
  });
  const bent = fitLinear({ x: rows, y: residuals }, { names: [...model.parameters, "bend"] });
  const error = bent.standardErrors.at(-1)!;
  if (!(error > 0)) return { t: 0, p: 1 };
  const t = bent.estimates.at(-1)! / error;
  return { t, p: 2 * (1 - tCdf(Math.abs(t), bent.df)) };
}

/** Says how far the floor is known. */
function floorFindings({
  fit,
  kind,
  form,
  floor,
}: {
  readonly fit: ConvergedFit;
  readonly kind: DecayKind;
  readonly form: DecayForm;
  readonly floor: DecayRange;
}): readonly Finding[] {
  if (form.floor !== undefined) return [];
  const { floorName, unit, lowestFloor } = kind;
  if (lowestFloor !== undefined && floor.lower === lowestFloor) {
    return [
      {
        code: "floor-not-reached",
        severity: "info",
        message: `${floorName} does not show yet: it lies below ${floor.upper === null ? "the last readings" : `${significant(floor.upper)} ${unit}`}`,
        advice: "log on until the readings level out, if the floor matters",
      },
    ];
  }
  const { y } = fit.observations;
  const fall = Math.max(...y) - Math.min(...y);
  const wide = floor.lower === null || floor.upper === null || floor.upper - floor.lower > fall;
  if (form.scatter === "proportional" || !wide) return [];
  return [
    {
      code: "floor-not-told",
      severity: "warning",
      message: `the log is too short to tell ${floorName}: anything from ${floor.lower === null ? "far below" : significant(floor.lower)} to ${floor.upper === null ? "the last reading" : significant(floor.upper)} ${unit} would fit`,
      advice: `log until it hardly falls any more, or measure ${floorName} and give it`,
    },
  ];
}
