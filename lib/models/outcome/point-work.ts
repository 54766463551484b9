import { dot } from "../../numeric/index.js";
import { EXACT, makeCheckChance } from "./check-chance.js";
import { makeBasis } from "./departure-basis.js";
import { makeLatentDoubt } from "./latent-doubt.js";
import type { OutcomeModel } from "./outcome-model.js";
import type { PredictionAt } from "./prediction-at.js";
import { makeResponseSums } from "./response-sums.js";
import { makeSettingNoise } from "./setting-noise.js";

/**
 * The working memory of a predictor, which holds one point at a time: everything is worked out once per point
 * and only when wanted. What it answers is about the point it was last moved to.
 */
export interface PointWork extends PredictionAt {
  /** Whoever moved it last. */
  owner: PredictionAt | undefined;
  readonly moveTo: (point: Float64Array) => void;
}

/** Lays a model out for speed. */
export function makePointWork(model: OutcomeModel): PointWork {
  const { coordinates, latent, posteriors, ties } = model;
  const basis = makeBasis(model.basis);
  const responses = latent.links.length;
  const weights = posteriors.map((posterior) => Float64Array.from(posterior.weights));
  const drawn = Array.from({ length: model.drawCount }, (_, m) =>
    model.draws.map((draws) => Float64Array.from(draws[m]!)),
  );
  const checks = model.checks.map((check) => makeCheckChance(check.draws, coordinates));
  const functions = new Float64Array(basis.size);
  const hidden = new Float64Array(posteriors.length);
  const here = new Float64Array(coordinates.length);
  const sums = makeResponseSums(latent.links);
  const doubt = makeLatentDoubt(posteriors, ties, functions);
  const noise = makeSettingNoise({ coordinates, links: latent.links, basis, weights });

  const scatterAndDays = new Float64Array(responses * responses);
  model.scatter.forEach((row, a) => {
    scatterAndDays.set(row, a * responses);
  });
  // A coupon of a future day, anywhere in that day: places are spread evenly over a range of 1.
  sums.addVariances(scatterAndDays, (l) => {
    const { blockSd, trend } = posteriors[l]!;
    return blockSd ** 2 + (trend.estimate ** 2 + trend.sd ** 2) / 12;
  });

  const meansBy = (weightsOf: readonly Float64Array[], into: Float64Array): void => {
    for (let l = 0; l < hidden.length; l++) hidden[l] = dot(weightsOf[l]!, 0, functions, 0, functions.length);
    sums.means(here, hidden, into);
  };
  const addSettingNoise = (into: Float64Array): void => {
    if (noise.variances === EXACT) return;
    for (let a = 0; a < responses; a++) {
      for (let b = 0; b < responses; b++) into[a * responses + b]! += noise.covariance(a, b);
    }
  };
  const addTies = (into: Float64Array): void => {
    ties.forEach((tie, t) => {
      for (let a = 0; a < responses; a++) {
        for (let b = 0; b < responses; b++) into[a * responses + b]! += doubt.tied(t) * sums.share(tie, a, b);
      }
    });
  };
  return {
    owner: undefined,
    moveTo(point) {
      for (let j = 0; j < here.length; j++) here[j] = point[j]!;
      doubt.moveTo(basis.evaluate(here, functions));
      noise.moveTo(here);
    },
    means: (into) => meansBy(weights, into),
    covariance(into) {
      into.set(scatterAndDays);
      sums.addVariances(into, doubt.variance);
      addTies(into);
      addSettingNoise(into);
    },
    variance(r) {
      const row = sums.coefficients[r]!;
      let total = scatterAndDays[r * responses + r]! + noise.covariance(r, r);
      for (let l = 0; l < row.length; l++) if (row[l] !== 0) total += row[l]! ** 2 * doubt.variance(l);
      for (let t = 0; t < ties.length; t++) {
        const share = sums.share(ties[t]!, r, r);
        if (share !== 0) total += share * doubt.tied(t);
      }
      return total;
    },
    drawMeans: (m, into) => meansBy(drawn[m]!, into),
    drawCovariance(into) {
      into.set(scatterAndDays);
      addSettingNoise(into);
    },
    pass: (c) => checks[c]!.average(here, noise.variances),
    drawPass: (c, m) => checks[c]!.draw(m, here, noise.variances),
  };
}
