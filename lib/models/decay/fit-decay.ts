import { BeadbenchError, type Finding, onlyDefined, requireNumber } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import {
  type ConvergedFit,
  compareNested,
  fitNonlinear,
  type Observations,
  predict,
} from "../../regression/index.js";
import { decayFindings, unfitted } from "./decay-findings.js";
import { type DecayForm, decayModel } from "./decay-model.js";
import { boundsOf, decayRanges } from "./decay-ranges.js";
import { firstGuesses } from "./first-guesses.js";
import type { DecayFit, DecayKind, DecayReading } from "./types.js";

/**
 * Exponential decay to a floor, from readings over time; limits by profile likelihood.
 *
 *     value = floor + rise exp(-t/tau)
 *
 * With proportional scatter the logarithms of reading and curve are compared, so that small readings count as much
 * as large ones.
 *
 * @param options.floor - when it was measured by itself
 * @param options.level - Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a reading out of range, `not-enough-data` with no more readings, or
 * fewer different times, than unknowns
 */
export function fitDecay(
  readings: readonly DecayReading[],
  kind: DecayKind,
  options: { readonly floor?: number; readonly level?: number } = {},
): DecayFit {
  const { floor, level = 0.95 } = options;
  const form: DecayForm = { scatter: kind.scatter, ...onlyDefined({ floor }) };
  const model = decayModel(form);
  const observations = observe(readings, kind, model.parameters.length);
  const bounds = boundsOf(kind, form);
  const fit = fitNonlinear(observations, model, { start: firstGuesses(readings, form), bounds });
  if (fit.status !== "converged") return unfitted(fit.status, kind);
  const [rise, rate] = fit.estimates.slice(-2) as [number, number];
  if (!(rise > 0 && rate > 0)) return unfitted("no-decay", kind);

  const [first] = predict({ fit, model, x: [[0]], level });
  const { mean, confidence } = first!;
  const natural = (value: number): number => (kind.scatter === "proportional" ? Math.exp(value) : value);
  const ranges = decayRanges(fit, model, { kind, form, level, bounds });
  return {
    status: "converged",
    kind,
    form,
    start: { estimate: natural(mean), lower: natural(confidence.lower), upper: natural(confidence.upper) },
    ...ranges,
    readingSd: fit.residualSd,
    level,
    fit,
    findings: [
      ...decayFindings({ fit, model, kind, form, floor: ranges.floor }),
      ...(floor === undefined ? [] : floorDisagrees({ fit, readings, kind, given: floor })),
    ],
  };
}

/** Holds a given floor against the one the readings tell by themselves (F test), where they tell one. */
function floorDisagrees({
  fit,
  readings,
  kind,
  given,
}: {
  readonly fit: ConvergedFit;
  readonly readings: readonly DecayReading[];
  readonly kind: DecayKind;
  readonly given: number;
}): readonly Finding[] {
  const form: DecayForm = { scatter: kind.scatter };
  if (fit.df < 2 || new Set(readings.map(({ time }) => time)).size < 3) return [];
  const free = fitNonlinear(fit.observations, decayModel(form), {
    start: firstGuesses(readings, form),
    bounds: boundsOf(kind, form),
    starts: 0,
  });
  if (free.status !== "converged" || free.df >= fit.df || !(free.rss > 0)) return [];
  // Without any scatter rounding decides which fits better.
  if (free.rss >= fit.rss) return [];
  const { p } = compareNested(fit, free);
  if (p >= 0.01) return [];
  return [
    {
      code: "floor-disagrees",
      severity: "warning",
      message: `${kind.floorName} was given as ${significant(given)} ${kind.unit}, where the readings tell about ${significant(free.estimates[0]!)} ${kind.unit} (chance ${significant(p, 2)})`,
      advice: "measure it beside the part, check its unit, or leave it out and let the readings tell it",
    },
  ];
}

/** Checked readings in order of time, as the model sees them. */
function observe(readings: readonly DecayReading[], kind: DecayKind, unknowns: number): Observations {
  const { scatter, quantity, unit, timeUnit } = kind;
  const sorted = [...readings].sort((a, b) => a.time - b.time);
  for (const { time, value } of sorted) {
    requireNumber("time of a reading", time, { min: 0, unit: timeUnit });
    if (scatter === "proportional") requireNumber(`${quantity} read`, value, { above: 0, unit });
    else requireNumber(`${quantity} read`, value, { unit });
  }
  const times = new Set(sorted.map(({ time }) => time)).size;
  if (sorted.length <= unknowns || times < unknowns) {
    throw new BeadbenchError(
      "not-enough-data",
      `a decay with ${unknowns} unknowns takes at least ${unknowns + 1} readings at ${unknowns} different times, got ${sorted.length} at ${times}`,
    );
  }
  return {
    x: sorted.map(({ time }) => [time]),
    y: sorted.map(({ value }) => (scatter === "proportional" ? Math.log(value) : value)),
  };
}
