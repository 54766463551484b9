import type { Bounds, Problem } from "../common/index.js";
import { descend, polish, SeparableProblem } from "../nonlinear/index.js";
import type { HeldFits, Minimum } from "./held-fits.js";

/** The best fit found with one quantity held. */
export interface CurvePoint {
  readonly value: number;
  /** Distance from the minimum in units of t, sign left out; below 0 where the held fit beats the minimum. */
  readonly height: number;
  /** The parameters left free. */
  readonly rest: readonly number[];
  /** The held fit arrived: its height is not only an upper bound. */
  readonly settled: boolean;
}

/** Relative offset below which a held fit counts as arrived: its sum of squares is then good to 1e-10. */
const ARRIVED = 1e-5;
const GOAL = 1e-7;
/** Sums of squares nearer than this share are one. */
const SAME = 1e-9;
/** Guesses followed to their end: near ones until one arrives, wide ones all. */
const FOLLOWED = { near: 3, wide: 3 };
const STEPS = 200;

interface HeldFit {
  readonly rss: number;
  readonly rest: readonly number[];
  readonly settled: boolean;
}

const isBetter = (a: HeldFit, b: HeldFit): boolean =>
  a.rss < b.rss * (1 - SAME) || (a.settled && !b.settled && a.rss <= b.rss * (1 + SAME));

const hasArrived = ({ offset }: { readonly offset: number }): boolean => offset <= ARRIVED;

interface Box {
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

/** Sign kept, in logarithms where both have one sign: the line through two points, carried on to `value`. */
function carriedOn({
  value,
  near,
  far,
  logarithm,
}: {
  readonly value: number;
  readonly near: CurvePoint;
  readonly far: CurvePoint;
  readonly logarithm: boolean;
}): number[] | undefined {
  if (near.value === far.value) return undefined;
  const scale = logarithm ? (v: number): number => Math.log(v / near.value) : (v: number): number => v;
  const share = (scale(value) - scale(near.value)) / (scale(near.value) - scale(far.value));
  return Number.isFinite(share)
    ? near.rest.map((rest, k) => rest + share * (rest - far.rest[k]!))
    : undefined;
}

/**
 * The sum of squares with one quantity held, as a curve that is followed. Each held fit starts from several guesses:
 * where its neighbours ended, where they point to (in the value and in its logarithm), and where the minimum points to.
 */
export class ProfileCurve {
  readonly points: CurvePoint[];
  /** Held fits asked for so far. */
  asked = 0;
  private readonly problem: Problem;
  private readonly separable: SeparableProblem;
  private readonly box: Box;
  private readonly inner: Box;

  constructor(
    readonly minimum: Minimum,
    private readonly held: HeldFits,
    bounds: Bounds | undefined,
  ) {
    const { problem, places, linear, centre } = held;
    this.problem = problem;
    const limit = (list: readonly number[] | undefined, open: number): number[] =>
      places.map((k) => list?.[k] ?? open);
    this.box = {
      lower: limit(bounds?.lower, Number.NEGATIVE_INFINITY),
      upper: limit(bounds?.upper, Number.POSITIVE_INFINITY),
    };
    const { lower, upper } = this.box;
    const isFree = (k: number): boolean =>
      lower[k] === Number.NEGATIVE_INFINITY && upper[k] === Number.POSITIVE_INFINITY;
    this.separable = new SeparableProblem(problem, linear.filter(isFree));
    this.inner = { lower: this.pick(lower), upper: this.pick(upper) };
    this.points = [
      { value: centre, height: 0, rest: places.map((k) => minimum.estimates[k]!), settled: true },
    ];
  }

  /** The best held fit at a value; `thorough` where an end rests on it. */
  at(value: number, thorough = false): CurvePoint {
    this.asked++;
    this.held.hold(value);
    const { minimum } = this;
    let best: HeldFit = { rss: Number.POSITIVE_INFINITY, rest: this.points[0]!.rest, settled: false };
    for (const start of this.near(value)) {
      const end = this.polishFrom(start) ?? this.walkFrom(start, best.rss);
      if (isBetter(end, best)) best = end;
      if (best.settled) break;
    }
    if (thorough) {
      for (const start of this.wide(value)) {
        const end = this.walkFrom(start, best.rss);
        if (isBetter(end, best)) best = end;
      }
    }
    const rise = (best.rss - minimum.rss) / minimum.residualSd ** 2;
    const point: CurvePoint = {
      value,
      height: Math.sign(rise) * Math.sqrt(Math.abs(rise)),
      rest: best.rest,
      settled: best.settled && Number.isFinite(best.rss),
    };
    if (Number.isFinite(point.height)) this.keep(point);
    return point;
  }

  /** One point per value, the lower one. */
  private keep(point: CurvePoint): void {
    const place = this.points.findIndex(({ value }) => value === point.value);
    if (place < 0) this.points.push(point);
    else if (point.height <= this.points[place]!.height) this.points[place] = point;
  }

  private pick(values: readonly number[]): number[] {
    return this.separable.nonlinear.map((k) => values[k]!);
  }

  /** The nearest point, and the next where there are two. */
  private nearest(value: number): readonly [CurvePoint, CurvePoint | undefined] {
    const gap = (point: CurvePoint): number => Math.abs(point.value - value);
    let near = this.points[0]!;
    let next: CurvePoint | undefined;
    for (const point of this.points.slice(1)) {
      if (gap(point) < gap(near)) [near, next] = [point, near];
      else if (next === undefined || gap(point) < gap(next)) next = point;
    }
    return [near, next];
  }

  /** Guesses by the neighbours and by the minimum, the most promising first. */
  private near(value: number): number[][] {
    const { points } = this;
    const { slope } = this.held;
    const [near, next] = this.nearest(value);
    const along = ({ value: from, rest }: CurvePoint): number[] =>
      rest.map((part, k) => part + slope[k]! * (value - from));
    const guesses: (readonly number[] | undefined)[] = [
      near.rest,
      next?.rest,
      along(near),
      along(points[0]!),
    ];
    if (next !== undefined) {
      guesses.push(carriedOn({ value, near, far: next, logarithm: false }));
      if (value * near.value > 0 && value * next.value > 0)
        guesses.push(carriedOn({ value, near, far: next, logarithm: true }));
    }
    return this.ranked(guesses).slice(0, FOLLOWED.near);
  }

  /** Guesses farther off: where the whole curve has been, and single parameters moved or turned round. */
  private wide(value: number): number[][] {
    const { minimum, points } = this;
    const { rest } = this.nearest(value)[0];
    const moved = this.held.places.flatMap((k, place) => {
      const sd = minimum.standardErrors[k]!;
      const to = (part: number): number[] => rest.map((old, at) => (at === place ? part : old));
      const shifts = [-0.3, 0.3, -1, 1, -3, 3].map((factor) => to(rest[place]! + factor * sd));
      return [...shifts, ...[-1, 0.2, 5].map((factor) => to(factor * rest[place]!))];
    });
    return this.ranked([...points.map((point) => point.rest), ...moved]).slice(0, FOLLOWED.wide);
  }

  /** Distinct guesses within the bounds at which the model is finite, by their sum of squares. */
  private ranked(guesses: readonly (readonly number[] | undefined)[]): number[][] {
    const { box, separable } = this;
    const seen = new Set<string>();
    return guesses
      .flatMap((guess) => {
        if (guess === undefined) return [];
        const start = guess.map((part, k) => Math.min(box.upper[k]!, Math.max(box.lower[k]!, part)));
        const alpha = this.pick(start);
        const key = alpha.join();
        if (seen.has(key) || !start.every(Number.isFinite)) return [];
        seen.add(key);
        return [{ start, rss: separable.evaluate(alpha) }];
      })
      .filter(({ rss }) => Number.isFinite(rss))
      .sort((a, b) => a.rss - b.rss)
      .map(({ start }) => start);
  }

  /** By full steps alone: enough from a good guess; undefined where they do not arrive. */
  private polishFrom(start: readonly number[]): HeldFit | undefined {
    const { problem, separable, box } = this;
    if (problem.size === 0) return undefined;
    separable.evaluate(this.pick(start));
    const from = [...separable.theta];
    this.rescale(from);
    const polished = polish(problem, from, { box, goal: GOAL });
    return polished !== undefined && hasArrived(polished)
      ? { rss: polished.rss, rest: polished.theta, settled: true }
      : undefined;
  }

  /** Downhill by damped steps; polished only where that may beat what is known. */
  private walkFrom(start: readonly number[], known: number): HeldFit {
    const { problem, separable, box, inner } = this;
    this.rescale(start);
    const walked = descend({ separable, start: this.pick(start), box: inner, maxIterations: STEPS });
    const end = { rss: walked.rss, rest: walked.theta, settled: problem.size === 0 };
    if (end.settled || walked.rss > known * (1 - SAME)) return end;
    this.rescale(walked.theta);
    const polished = polish(problem, walked.theta, { box, goal: GOAL });
    return polished === undefined || polished.rss > walked.rss * (1 + SAME)
      ? end
      : { rss: polished.rss, rest: polished.theta, settled: hasArrived(polished) };
  }

  /** Tells the difference formulas how large the parameters are here. */
  private rescale(theta: readonly number[]): void {
    const { problem, held, minimum } = this;
    theta.forEach((value, k) => {
      problem.magnitude[k] = value === 0 ? Math.abs(minimum.estimates[held.places[k]!]!) : Math.abs(value);
      problem.reach[k] = Number.NaN;
    });
  }
}
