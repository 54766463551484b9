import { dot } from "../../numeric/index.js";
import type { Settings } from "../physical/index.js";
import { makeBasis } from "./basis.js";
import { EXACT, makeCheckChance } from "./check-chance.js";
import { toCoordinates } from "./coordinates.js";
import type { OutcomeModel } from "./outcome-model.js";
import { makeSettingNoise } from "./setting-noise.js";

/** Room for one prediction, on the links' scales; reused from call to call. */
export interface Prediction {
  /** Expected value of each measured response. */
  readonly mean: Float64Array;
  /** Covariance of a new coupon on a new day, row by row: scatter, days, doubt about the models, settings. */
  readonly covariance: Float64Array;
}

/** A model made ready to be asked about many settings. */
export interface Predictor {
  readonly responses: number;
  readonly draws: number;
  /** Settings as a point on the model's axes. */
  readonly point: (settings: Settings) => Float64Array;
  /** Expected values alone; quick. */
  readonly means: (point: Float64Array, into: Float64Array) => void;
  /** Expected values and covariance at the point of the last call of `means`. */
  readonly spread: (into: Prediction) => void;
  /** Variance of response `r` at the point of the last call of `means`; quicker than `spread` where one will do. */
  readonly variance: (r: number) => number;
  /** Expected values at the point of the last call of `means` if posterior draw `m` were the truth. */
  readonly drawMeans: (m: number, into: Float64Array) => void;
  /** The covariance about a draw, at the point of the last call of `means`: scatter, days and settings alone. */
  readonly drawSpread: (into: Prediction) => void;
  /** Chance that check `c` is passed, averaged over the draws, at the point of the last call of `means`. */
  readonly pass: (c: number) => number;
  /** Chance that check `c` is passed if draw `m` were the truth, at the point of the last call of `means`. */
  readonly drawPass: (c: number, m: number) => number;
}

/** Compiles a model for speed. The functions share working memory: use one predictor from one place. */
export function makePredictor(model: OutcomeModel): Predictor {
  const { coordinates, latent, posteriors } = model;
  const basis = makeBasis(model.basis);
  const size = basis.size;
  const axes = coordinates.length;
  const latents = posteriors.length;
  const responses = latent.links.length;
  const weights = posteriors.map((posterior) => Float64Array.from(posterior.weights));
  const roots = posteriors.map((posterior) => columns(posterior.root, size));
  const drawn = Array.from({ length: model.drawCount }, (_, m) =>
    model.draws.map((draws) => Float64Array.from(draws[m]!)),
  );
  const coefficients = latent.links.map((link) => Float64Array.from(link.coefficients));
  const offsets = latent.links.map(
    (link) => [link.offset.constant, Float64Array.from(link.offset.slopes)] as const,
  );
  const checks = model.checks.map((check) => makeCheckChance(check.draws, coordinates));
  const functions = new Float64Array(size);
  const hidden = new Float64Array(latents);
  let open = 0;

  const toResponses = (point: Float64Array, into: Float64Array): void => {
    for (let r = 0; r < responses; r++) {
      const [constant, slopes] = offsets[r]!;
      let value = constant;
      for (let j = 0; j < axes; j++) value += slopes[j]! * point[j]!;
      const row = coefficients[r]!;
      for (let l = 0; l < latents; l++) value += row[l]! * hidden[l]!;
      into[r] = value;
    }
  };
  const weigh = (of: readonly Float64Array[]): void => {
    for (let l = 0; l < latents; l++) hidden[l] = dot(of[l]!, 0, functions, 0, size);
  };

  const drawCovariance = new Float64Array(responses * responses);
  const addLatents = (into: Float64Array, variance: (l: number) => number): void => {
    for (let a = 0; a < responses; a++) {
      for (let b = 0; b < responses; b++) {
        let sum = 0;
        for (let l = 0; l < latents; l++) sum += coefficients[a]![l]! * coefficients[b]![l]! * variance(l);
        into[a * responses + b]! += sum;
      }
    }
  };
  model.scatter.forEach((row, a) => {
    drawCovariance.set(row, a * responses);
  });
  addLatents(drawCovariance, (l) => posteriors[l]!.blockSd ** 2);

  // Doubt about each latent and each tie at the point last evaluated; NaN until asked for.
  const doubt = new Float64Array(latents);
  const latentDoubt = (l: number): number => {
    if (!Number.isNaN(doubt[l]!)) return doubt[l]!;
    const root = roots[l]!;
    let total = posteriors[l]!.departure ** 2 * open;
    for (let b = 0; b < size; b++) {
      const part = dot(root, b * size + b, functions, b, size - b);
      total += part * part;
    }
    doubt[l] = total;
    return total;
  };
  const ties = model.ties.map((tie) => ({ ...tie, covariance: symmetricLower(tie.covariance, size) }));
  const shared = new Float64Array(ties.length);
  const tieDoubt = (t: number): number => {
    if (!Number.isNaN(shared[t]!)) return shared[t]!;
    const { first, second, covariance } = ties[t]!;
    let total = 0;
    for (let i = 0; i < size; i++) {
      total += functions[i]! * dot(covariance, i * size, functions, 0, i + 1);
    }
    const most = 0.98 * Math.sqrt(latentDoubt(first) * latentDoubt(second));
    shared[t] = Math.max(-most, Math.min(most, total));
    return shared[t]!;
  };
  const pairing = (t: number, a: number, b: number): number => {
    const { first, second } = ties[t]!;
    const [ca, cb] = [coefficients[a]!, coefficients[b]!];
    return ca[first]! * cb[second]! + ca[second]! * cb[first]!;
  };
  const here = new Float64Array(axes);
  const noise = makeSettingNoise(coordinates, latent.links, basis, weights);
  const addSettingNoise = (into: Prediction): void => {
    if (noise.variances === EXACT) return;
    for (let a = 0; a < responses; a++) {
      for (let b = 0; b < responses; b++) into.covariance[a * responses + b]! += noise.covariance(a, b);
    }
  };

  return {
    responses,
    draws: model.drawCount,
    point: (settings) => toCoordinates(coordinates, settings),
    means(point, into) {
      open = basis.evaluate(point, functions);
      // Short loops: filling by a method costs more than the sums.
      for (let j = 0; j < axes; j++) here[j] = point[j]!;
      for (let t = 0; t < shared.length; t++) shared[t] = Number.NaN;
      for (let l = 0; l < latents; l++) doubt[l] = Number.NaN;
      noise.moveTo(point);
      weigh(weights);
      toResponses(point, into);
    },
    spread(into) {
      into.covariance.set(drawCovariance);
      addLatents(into.covariance, latentDoubt);
      for (let t = 0; t < ties.length; t++) {
        for (let a = 0; a < responses; a++) {
          for (let b = 0; b < responses; b++)
            into.covariance[a * responses + b]! += tieDoubt(t) * pairing(t, a, b);
        }
      }
      addSettingNoise(into);
    },
    variance(r) {
      let total = drawCovariance[r * responses + r]! + noise.covariance(r, r);
      for (let l = 0; l < latents; l++) {
        const coefficient = coefficients[r]![l]!;
        if (coefficient !== 0) total += coefficient ** 2 * latentDoubt(l);
      }
      for (let t = 0; t < ties.length; t++) {
        const weight = pairing(t, r, r);
        if (weight !== 0) total += weight * tieDoubt(t);
      }
      return total;
    },
    drawMeans(m, into) {
      weigh(drawn[m]!);
      toResponses(here, into);
    },
    drawSpread(into) {
      into.covariance.set(drawCovariance);
      addSettingNoise(into);
    },
    pass: (c) => checks[c]!.average(here, noise.variances),
    drawPass: (c, m) => checks[c]!.draw(m, here, noise.variances),
  };
}

/** Lower triangle of a form x' C x: the entries above the diagonal added to those below. */
function symmetricLower(matrix: readonly number[], size: number): Float64Array {
  const result = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < a; b++) result[a * size + b] = matrix[a * size + b]! + matrix[b * size + a]!;
    result[a * size + a] = matrix[a * size + a]!;
  }
  return result;
}

/** A row-by-row lower triangle rearranged column by column, so that sums run through memory in order. */
function columns(root: readonly number[], size: number): Float64Array {
  const result = new Float64Array(size * size);
  for (let a = 0; a < size; a++) for (let b = 0; b <= a; b++) result[b * size + a] = root[a * size + b]!;
  return result;
}
