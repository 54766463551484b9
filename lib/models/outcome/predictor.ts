import { dot } from "../../numeric/index.js";
import type { Settings } from "../physical/index.js";
import { makeBasis } from "./basis.js";
import { toCoordinates } from "./coordinates.js";
import type { OutcomeModel } from "./outcome-model.js";
import { passChance } from "./survival-fit.js";

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
  readonly spread: (point: Float64Array, into: Prediction) => void;
  /** Variance of response `r` at the point of the last call of `means`, settings held exactly. */
  readonly variance: (r: number) => number;
  /** Expected values at the point of the last call of `means` if posterior draw `m` were the truth. */
  readonly drawMeans: (point: Float64Array, m: number, into: Float64Array) => void;
  /** Covariance of scatter and days alone: the spread about a draw. */
  readonly drawCovariance: Float64Array;
  /** Chance that check `c` is passed, averaged over the draws and over how the rig holds its settings. */
  readonly pass: (point: Float64Array, c: number) => number;
  /** Chance that check `c` is passed if draw `m` were the truth. */
  readonly drawPass: (point: Float64Array, c: number, m: number) => number;
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
  const drawn = model.draws.map((draws) => draws.map((draw) => Float64Array.from(draw)));
  const coefficients = latent.links.map((link) => Float64Array.from(link.coefficients));
  const offsets = latent.links.map(
    (link) => [link.offset.constant, Float64Array.from(link.offset.slopes)] as const,
  );
  const checks = model.checks.map((check) =>
    check.draws.map((draw) => ({
      constants: Float64Array.from(draw.constants),
      slopes: Float64Array.from(draw.slopes),
      lapse: draw.lapse,
    })),
  );
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
  const evaluate = (point: Float64Array): void => {
    open = basis.evaluate(point, functions);
    doubt.fill(Number.NaN);
    shared.fill(Number.NaN);
  };

  const moving = coordinates.flatMap((axis, j) => (axis.settingSd > 0 ? [j] : []));
  const shifted = new Float64Array(axes);
  const moved = new Float64Array(responses);
  const means = (point: Float64Array, into: Float64Array): void => {
    evaluate(point);
    weigh(weights);
    toResponses(point, into);
  };
  const addSettingNoise = (point: Float64Array, into: Prediction): void => {
    const gradients = moving.map((j) => {
      const sd = axisSd(coordinates[j]!, point[j]!);
      shifted.set(point);
      shifted[j]! += sd;
      means(shifted, moved);
      return Array.from(moved, (value, r) => value - into.mean[r]!);
    });
    for (const gradient of gradients) {
      for (let a = 0; a < responses; a++) {
        for (let b = 0; b < responses; b++)
          into.covariance[a * responses + b]! += gradient[a]! * gradient[b]!;
      }
    }
    means(point, into.mean);
  };

  const averagePass = (point: Float64Array, c: number): number => {
    const draws = checks[c]!;
    let sum = 0;
    for (let m = 0; m < draws.length; m++) {
      const { constants, slopes, lapse } = draws[m]!;
      sum += passChance(constants, slopes, lapse, point);
    }
    return sum / draws.length;
  };

  return {
    responses,
    draws: model.draws[0]?.length ?? model.checks[0]?.draws.length ?? 0,
    point: (settings) => toCoordinates(coordinates, settings),
    means,
    spread(point, into) {
      into.covariance.set(drawCovariance);
      addLatents(into.covariance, latentDoubt);
      for (let t = 0; t < ties.length; t++) {
        for (let a = 0; a < responses; a++) {
          for (let b = 0; b < responses; b++)
            into.covariance[a * responses + b]! += tieDoubt(t) * pairing(t, a, b);
        }
      }
      if (moving.length > 0) addSettingNoise(point, into);
    },
    variance(r) {
      let total = drawCovariance[r * responses + r]!;
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
    drawMeans(point, m, into) {
      for (let l = 0; l < latents; l++) hidden[l] = dot(drawn[l]![m]!, 0, functions, 0, size);
      toResponses(point, into);
    },
    drawCovariance,
    pass(point, c) {
      if (moving.length === 0) return averagePass(point, c);
      // Settings as the rig may really hold them: two points per loose axis, exact to second order.
      let sum = 0;
      for (const j of moving) {
        const reach = Math.sqrt(moving.length) * axisSd(coordinates[j]!, point[j]!);
        for (const side of [-1, 1]) {
          shifted.set(point);
          shifted[j]! += side * reach;
          sum += averagePass(shifted, c) / (2 * moving.length);
        }
      }
      return sum;
    },
    drawPass(point, c, m) {
      const { constants, slopes, lapse } = checks[c]![m]!;
      return passChance(constants, slopes, lapse, point);
    },
  };
}

/** Standard deviation of a setting on its axis. */
function axisSd(axis: OutcomeModel["coordinates"][number], at: number): number {
  return axis.kind === "log" ? axis.settingSd / Math.exp(axis.centre + at) : axis.settingSd / axis.scale;
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
