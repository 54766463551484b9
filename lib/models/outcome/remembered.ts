import { ownValue } from "../../errors/index.js";
import { normalPdf, sobolPoints } from "../../numeric/index.js";
import type { KnownSetting, StudyDefinition } from "../../study/index.js";
import type { Priors } from "../priors/index.js";
import type { Settings } from "../settings/index.js";
import { type Coordinate, toCoordinates } from "./coordinates.js";
import type { LatentModel } from "./latent.js";
import { latentValues } from "./latent-value.js";
import type { OutcomeModel } from "./outcome-model.js";
import { makePredictor, type Predictor } from "./predictor.js";
import { fromLinkScale, toLinkScale } from "./response-link.js";
import type { LikelyPlace, SeenCoupon } from "./seen-coupon.js";
import { chanceWithin, type Limits, type Moments, readingWithin } from "./within-limits.js";

/** What remembered runs are read by. */
export interface MemoryContext {
  /** What the study says without them. */
  readonly model: OutcomeModel;
  readonly priors: Priors;
  /** Number of the first block that is free: nobody knows on which day a remembered run was. */
  readonly block: number;
}

/** Places looked at where a run may have been. */
const PLACES = 32;

/**
 * Settings that once ran, as the model sees them. What was good lay within specification and passed every check: of each
 * response that says as much as a reading with an error of its own. A setting that was not named may have been anything in
 * its range: it blurs what the run says of sizes, and verdicts are averaged over the places where, by what else is known,
 * it may have been.
 */
export function rememberedCoupons(
  known: readonly KnownSetting[],
  { model, priors, block }: MemoryContext,
): readonly SeenCoupon[] {
  const { definition, coordinates, latent } = model;
  const predictor = makePredictor(model);
  const limits = latent.links.map((link): Limits => {
    const { lower, upper } = definition.responses.find(({ name }) => name === link.response)?.spec ?? {};
    return {
      lower: lower === undefined ? Number.NEGATIVE_INFINITY : toLinkScale(link, lower),
      upper: upper === undefined ? Number.POSITIVE_INFINITY : toLinkScale(link, upper),
    };
  });
  return known.map((one, k): SeenCoupon => {
    const { point, blur } = placeOf(one.settings, { coordinates, latent, model, priors });
    const foreseen = momentsAt(predictor, point, blur);
    const readings = new Map<number, Moments>();
    latent.links.forEach((link, r) => {
      const value = ownValue(one.measured, link.response);
      const reading =
        value !== undefined
          ? remembered(value, link, priors)
          : one.good === true
            ? readingWithin(foreseen[r]!, limits[r]!)
            : undefined;
      if (reading === undefined || !Number.isFinite(reading.mean)) return;
      readings.set(r, reading);
      blur[r * latent.links.length + r]! += reading.variance;
    });
    const measured = new Map(
      [...readings].map(([r, { mean }]) => [
        latent.links[r]!.response,
        fromLinkScale(latent.links[r]!, mean),
      ]),
    );
    const passed = verdictsOf(one, model);
    return {
      point,
      block: block + k,
      place: 0,
      responses: new Map([...readings].map(([r, { mean }]) => [r, mean])),
      latents: latentValues(latent, { measured, point }),
      passed,
      checkedAgain: new Set(),
      memory: {
        wrong: priors.known_wrong,
        blur,
        latentBlur: latentBlurOf(latent, blur),
        places: placesOf(one, { model, predictor, limits, checks: [...passed.keys()] }),
      },
    };
  });
}

/** A remembered reading with its error, on its link's scale. */
function remembered(value: number, link: LatentModel["links"][number], priors: Priors): Moments {
  const sd = (priors.known_reading_sd * (link.log ? 1 : Math.abs(value))) / link.scale;
  return { mean: toLinkScale(link, value), variance: sd ** 2 };
}

/** Verdicts of the study's checks: as they were said, else by how it ran on the whole. */
function verdictsOf({ good, passed }: KnownSetting, { checks }: OutcomeModel): ReadonlyMap<string, boolean> {
  return new Map(
    checks.flatMap(({ name }) => {
      const verdict = ownValue(passed, name) ?? good;
      return verdict === undefined ? [] : [[name, verdict] as const];
    }),
  );
}

/** The middle of where a run may have been, and what the rest of it does to the responses, to first order. */
function placeOf(
  settings: Settings,
  {
    coordinates,
    latent,
    model,
    priors,
  }: Pick<OutcomeModel, "coordinates" | "latent"> & Omit<MemoryContext, "block">,
): { readonly point: Float64Array; readonly blur: Float64Array } {
  const point = new Float64Array(coordinates.length);
  const variances = coordinates.map((axis, j): number => {
    if (Object.hasOwn(settings, axis.factor)) {
      point[j] = toCoordinates([axis], settings)[0]!;
      if (axis.kind === "level") return 0;
      return (priors.known_setting_sd * (axis.kind === "log" ? 1 : axis.half)) ** 2;
    }
    if (axis.kind !== "level") return axis.half ** 2 / 3;
    const share = 1 / coordinates.filter(({ factor }) => factor === axis.factor).length;
    point[j] = share;
    return share * (1 - share);
  });
  const responses = latent.links.length;
  const slopes = latent.links.map(({ coefficients, offset }) =>
    coordinates.map((_, j) =>
      coefficients.reduce(
        (sum, coefficient, l) => sum + coefficient * model.posteriors[l]!.weights[1 + j]!,
        offset.slopes[j]!,
      ),
    ),
  );
  const blur = new Float64Array(responses * responses);
  for (let a = 0; a < responses; a++) {
    for (let b = 0; b < responses; b++) {
      blur[a * responses + b] = variances.reduce(
        (sum, variance, j) => sum + variance * slopes[a]![j]! * slopes[b]![j]!,
        0,
      );
    }
  }
  return { point, blur };
}

/** What is foreseen of each response at a point, with a blur added. */
function momentsAt(predictor: Predictor, point: Float64Array, blur?: Float64Array): readonly Moments[] {
  const n = predictor.responses;
  const means = new Float64Array(n);
  const here = predictor.at(point);
  here.means(means);
  return Array.from(means, (mean, r) => ({ mean, variance: here.variance(r) + (blur?.[r * n + r] ?? 0) }));
}

/** Variance of each hidden quantity by that of the responses it is worked out from. */
function latentBlurOf({ links }: LatentModel, blur: Float64Array): Float64Array {
  const n = links.length;
  const parts = new Map<number, readonly number[]>();
  const partOf = (l: number): readonly number[] => {
    const ready = parts.get(l);
    if (ready !== undefined) return ready;
    const r = links.findIndex(({ own }) => own === l);
    const { coefficients } = links[r]!;
    const row = links.map((_, a) => (a === r ? 1 : 0));
    coefficients.forEach((coefficient, other) => {
      if (other === l || coefficient === 0) return;
      partOf(other).forEach((value, a) => {
        row[a]! -= coefficient * value;
      });
    });
    const own = row.map((value) => value / coefficients[l]!);
    parts.set(l, own);
    return own;
  };
  return Float64Array.from(links, (_, l) => {
    const part = partOf(l);
    let sum = 0;
    for (let a = 0; a < n; a++) for (let b = 0; b < n; b++) sum += part[a]! * part[b]! * blur[a * n + b]!;
    return sum;
  });
}

interface PlaceParts {
  readonly model: OutcomeModel;
  readonly predictor: Predictor;
  readonly limits: readonly Limits[];
  readonly checks: readonly string[];
}

/** Where a run may have been, check by check: settings not named anywhere in their ranges, weighed by what else is said of it. */
function placesOf(
  one: KnownSetting,
  { model, predictor, limits, checks }: PlaceParts,
): ReadonlyMap<string, readonly LikelyPlace[]> {
  const points = pointsOf(one.settings, model);
  const passes = points.map((point) => {
    const here = predictor.at(point);
    return model.checks.map((_, c) => here.pass(c));
  });
  const fits = points.map((point) => {
    const foreseen = momentsAt(predictor, point);
    return model.latent.links.reduce((product, link, r) => {
      const value = ownValue(one.measured, link.response);
      const { mean, variance } = foreseen[r]!;
      if (value !== undefined && one.good === false) {
        const { lower, upper } = limits[r]!;
        const at = toLinkScale(link, value);
        return at >= lower && at <= upper ? product : 0;
      }
      if (value !== undefined) {
        const sd = Math.sqrt(variance);
        return (product * normalPdf((toLinkScale(link, value) - mean) / sd)) / sd;
      }
      return one.good === undefined ? product : product * chanceWithin(foreseen[r]!, limits[r]!);
    }, 1);
  });
  return new Map(
    checks.map((name) => {
      const own = model.checks.findIndex((check) => check.name === name);
      const named = ownValue(one.passed, name) !== undefined;
      const shares = points.map((_, k) => {
        if (named && one.good !== true) return 1;
        const others = passes[k]!.reduce((product, pass, c) => (c === own ? product : product * pass), 1);
        return fits[k]! * others;
      });
      // Of a poor run it is not known what spoilt it; of any other, that it was run somewhere.
      const certain = named || one.good === true;
      const total = shares.reduce((sum, share) => sum + share, 0);
      return [
        name,
        points.map((point, k) => ({
          point,
          share: !certain ? shares[k]! / points.length : total > 0 ? shares[k]! / total : 1 / points.length,
        })),
      ];
    }),
  );
}

/** Points with the settings named, the others spread over their ranges. */
function pointsOf(settings: Settings, { definition, coordinates }: OutcomeModel): readonly Float64Array[] {
  const open = definition.factors.filter(({ name }) => !Object.hasOwn(settings, name));
  const spread = open.length === 0 ? [[]] : sobolPoints(PLACES, open.length, 5);
  return spread.map((place) =>
    Float64Array.from(coordinates, (axis) => {
      const which = open.findIndex(({ name }) => name === axis.factor);
      return which < 0 ? toCoordinates([axis], settings)[0]! : onAxis(axis, place[which]!, definition);
    }),
  );
}

/** A place from 0 to 1 in the range of a factor, on one of its axes. */
function onAxis(axis: Coordinate, place: number, { factors }: StudyDefinition): number {
  if (axis.kind !== "level") return (2 * place - 1) * axis.half;
  const levels = factors.find(({ name }) => name === axis.factor)!.levels!;
  return String(levels[Math.floor(place * levels.length)]) === axis.level ? 1 : 0;
}
