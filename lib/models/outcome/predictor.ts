import type { Settings } from "../settings/index.js";
import { toCoordinates } from "./coordinates.js";
import type { OutcomeModel } from "./outcome-model.js";
import { makePointWork, type PointWork } from "./point-work.js";
import type { PredictionAt } from "./prediction-at.js";

/** A model made ready to be asked about many settings. */
export interface Predictor {
  readonly responses: number;
  readonly draws: number;
  /** Settings as a point on the model's axes. */
  readonly point: (settings: Settings) => Float64Array;
  /** The prediction at a point, which must not be changed as long as the prediction is used. */
  readonly at: (point: Float64Array) => PredictionAt;
}

/**
 * Compiles a model for speed: a map asks at a hundred thousand points. Everything is computed once per point and only when
 * wanted; several predictions share one working memory, and asking them in turn is right but slow.
 */
export function makePredictor(model: OutcomeModel): Predictor {
  const work = makePointWork(model);
  return {
    responses: model.latent.links.length,
    draws: model.drawCount,
    point: (settings) => toCoordinates(model.coordinates, settings),
    at: (point) => new Cursor(work, point),
  };
}

/** A place in the shared working memory: it is moved here when another point was asked about since. */
class Cursor implements PredictionAt {
  readonly #work: PointWork;
  readonly #point: Float64Array;

  constructor(work: PointWork, point: Float64Array) {
    this.#work = work;
    this.#point = point;
  }

  #here(): PointWork {
    const work = this.#work;
    if (work.owner !== this) {
      work.owner = this;
      work.moveTo(this.#point);
    }
    return work;
  }

  means(into: Float64Array): void {
    this.#here().means(into);
  }

  covariance(into: Float64Array): void {
    this.#here().covariance(into);
  }

  variance(r: number): number {
    return this.#here().variance(r);
  }

  drawMeans(m: number, into: Float64Array): void {
    this.#here().drawMeans(m, into);
  }

  drawCovariance(into: Float64Array): void {
    this.#here().drawCovariance(into);
  }

  pass(c: number): number {
    return this.#here().pass(c);
  }

  drawPass(c: number, m: number): number {
    return this.#here().drawPass(c, m);
  }
}
