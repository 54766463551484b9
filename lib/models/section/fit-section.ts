import { BeadbenchError, type Finding, requireNumber } from "../../errors/index.js";
import { fixed, tQuantile } from "../../numeric/index.js";
import { akaikeWeights, averageModels, informationCriteria } from "../../regression/index.js";
import { type LevelledPoints, levelPoints, requirePoints, type SectionPoint, turned } from "./level.js";
import { halfFullness, halfToeAngle, type SectionShape, sectionShapes } from "./outline.js";
import { type FittedOutline, fitOutline, type OutlineParameters, outlineNames } from "./outline-fit.js";

/** A measured length, area or angle with its interval. */
export interface SectionMeasure {
  readonly estimate: number;
  readonly standardError: number;
  readonly lower: number;
  readonly upper: number;
}

/** One outline tried. */
export interface SectionCandidate {
  readonly shape: SectionShape;
  readonly aicc: number;
  /** Support among the outlines tried, summing to 1. */
  readonly support: number;
  /** Scatter of the heights, mm. */
  readonly residualSd: number;
}

/** What the points of a cross-section say about the bead. */
export interface SectionFit {
  readonly shape: SectionShape;
  /** mm. */
  readonly width: SectionMeasure;
  /** mm above the base. */
  readonly height: SectionMeasure;
  /** mm2 above the base. */
  readonly area: SectionMeasure;
  /** deg. */
  readonly toeAngles: { readonly left: SectionMeasure; readonly right: SectionMeasure };
  /** Offset of the crest from the middle over the width; positive to the right. */
  readonly asymmetry: SectionMeasure;
  /** Area over width times height. */
  readonly fullness: number;
  /** Area under the points by the trapezoidal rule, whatever the outline, mm2. */
  readonly tracedArea: number;
  /** Angle of the base as traced, deg; removed before anything else. */
  readonly tilt: number;
  /** Best first. */
  readonly candidates: readonly SectionCandidate[];
  /** The outline in levelled coordinates, for drawing. */
  readonly outline: OutlineParameters;
  readonly levelled: readonly SectionPoint[];
  readonly residualSd: number;
  readonly level: number;
  readonly findings: readonly Finding[];
}

export interface SectionOptions {
  /** `measured` (default): base points on both sides give the tilt; `level`: y = 0 is the base. */
  readonly base?: "measured" | "level";
  /** Rough toes in the x of the points, where they cannot be found by themselves. */
  readonly toes?: readonly [left: number, right: number];
  /** Outlines to try. Default all. */
  readonly shapes?: readonly SectionShape[];
  /** Points nearer to a toe count with twice the sd: fillets and focus make them doubtful. Default 0.3 mm. */
  readonly toeGap?: number;
  /** Known sd of the points, mm: a worse fit is reported. */
  readonly gaugeSd?: number;
  /** Of the intervals. Default 0.95. */
  readonly level?: number;
}

const FEWEST_POINTS = 12;

/**
 * Width, height, area, toe angles and asymmetry of a bead from points of its cross-section, as traced on a
 * macro photo, a profile gauge or a scan. The tilt of the base is removed, each half of the bead gets its
 * own reach, and the outline is chosen by AICc on scatter across the surface.
 *
 * Balled beads, whose toes hide under their own sides, cannot be told by a single height per x: the toe
 * angle then stops near 90 deg.
 *
 * @param points - mm, any order, one scale for both axes
 * @throws {BeadbenchError} `not-enough-data` under twelve points, or without base points where the base is to be measured
 * @source least squares; AICc: Hurvich and Tsai, Biometrika 76 (1989) 297
 */
export function fitSection(points: readonly SectionPoint[], options: SectionOptions = {}): SectionFit {
  const { base = "measured", shapes = sectionShapes, toeGap = 0.3, level = 0.95 } = options;
  requireNumber("toe gap", toeGap, { min: 0, unit: "mm" });
  requireNumber("level", level, { above: 0, below: 1 });
  const sorted = requirePoints(points, FEWEST_POINTS);
  const levelBase = base === "level";
  const levelled = levelBase
    ? { points: sorted, tilt: 0, toes: options.toes ?? ends(sorted) }
    : levelPoints(sorted, options.toes);
  const found = chooseOutline(levelled, shapes, { toeGap, levelBase });
  const best = found.fits[0]!;
  const p = best.outline;
  const measure = measures(found, levelBase, level);
  const tracedArea = trapezoid(found.points, p);
  const area = measure(areaOf);
  return {
    shape: best.shape,
    width: measure((_shape, { leftReach, rightReach }) => leftReach + rightReach),
    height: measure((_shape, { height }) => height),
    area,
    toeAngles: {
      left: measure((shape, q) => halfToeAngle(shape, { ...q, reach: q.leftReach })),
      right: measure((shape, q) => halfToeAngle(shape, { ...q, reach: q.rightReach })),
    },
    asymmetry: measure((_shape, { leftReach: l, rightReach: r }) => (l - r) / (2 * (l + r))),
    fullness: areaOf(best.shape, p) / ((p.leftReach + p.rightReach) * p.height),
    tracedArea,
    tilt: found.tilt,
    candidates: found.candidates,
    outline: p,
    levelled: found.points,
    residualSd: best.fit.residualSd,
    level,
    findings: findingsOf({
      outline: best,
      measure,
      tracedArea,
      area: area.estimate,
      gaugeSd: options.gaugeSd,
    }),
  };
}

const ends = (points: readonly SectionPoint[]): readonly [number, number] => [points[0]!.x, points.at(-1)!.x];

/** Weight of a point near a toe: its sd counts double. */
const TOE_WEIGHT = 0.25;

interface ChosenOutline {
  readonly fits: readonly FittedOutline[];
  readonly candidates: readonly SectionCandidate[];
  readonly points: readonly SectionPoint[];
  readonly tilt: number;
}

/** Fits every outline to the same points twice: the second time with toes and tilt of the first best. */
function chooseOutline(
  levelled: LevelledPoints,
  shapes: readonly SectionShape[],
  { toeGap, levelBase }: { readonly toeGap: number; readonly levelBase: boolean },
): ChosenOutline {
  let { points, tilt, toes } = levelled;
  let start = roughOutline(points, toes);
  const fitAll = (gap: number): readonly FittedOutline[] => {
    const rows = {
      x: points.map(({ x }) => x),
      y: points.map(({ y }) => y),
      weights: points.map(({ x }) => (toes.some((toe) => Math.abs(x - toe) < gap) ? TOE_WEIGHT : 1)),
    };
    const found = shapes.flatMap((shape) => fitOutline({ shape, rows, start, levelBase }) ?? []);
    if (found.length === 0) {
      throw new BeadbenchError(
        "not-enough-data",
        "no outline is determined by these points: trace more of the bead, or give its rough toes",
      );
    }
    return found;
  };
  const first = fitAll(0).reduce((a, b) => (b.fit.rss < a.fit.rss ? b : a)).outline;
  const more = (Math.atan(first.slope) * 180) / Math.PI;
  if (!levelBase) {
    points = turned(
      points.map(({ x, y }) => ({ x, y: y - first.offset })),
      more,
    );
    tilt += more;
  }
  start = { ...first, offset: 0, slope: 0 };
  toes = [first.crest - first.leftReach, first.crest + first.rightReach];
  const fits = fitAll(toeGap);
  // Drawn outlines may fit exactly: scatter below a millionth of the height counts as that.
  const least = 1e-12 * points.length * first.height ** 2;
  const criteria = fits.map(({ fit }) => informationCriteria({ ...fit, rss: Math.max(least, fit.rss) }).aicc);
  const support = akaikeWeights(criteria);
  const order = fits.map((_, i) => i).sort((a, b) => criteria[a]! - criteria[b]!);
  return {
    fits: order.map((i) => fits[i]!),
    candidates: order.map((i) => ({
      shape: fits[i]!.shape,
      aicc: criteria[i]!,
      support: support[i]!,
      residualSd: fits[i]!.fit.residualSd,
    })),
    points,
    tilt,
  };
}

function roughOutline(
  points: readonly SectionPoint[],
  [left, right]: readonly [number, number],
): OutlineParameters {
  const crest = (left + right) / 2;
  const reach = (right - left) / 2;
  const height = Math.max(...points.map(({ y }) => y));
  return { offset: 0, slope: 0, crest, leftReach: reach, rightReach: reach, height, exponent: 2 };
}

function areaOf(shape: SectionShape, p: OutlineParameters): number {
  const half = (reach: number): number => halfFullness(shape, { ...p, reach }) * reach * p.height;
  return half(p.leftReach) + half(p.rightReach);
}

type Derived = (shape: SectionShape, p: OutlineParameters) => number;

/**
 * Estimate and interval of a quantity, averaged over the outlines by their support: the outlines' disagreement
 * is part of the standard error.
 */
function measures(
  { fits, candidates }: ChosenOutline,
  levelBase: boolean,
  level: number,
): (quantity: Derived) => SectionMeasure {
  const factor = tQuantile((1 + level) / 2, fits[0]!.fit.df);
  return (quantity) => {
    const { mean: estimate, standardError } = averageModels(
      fits.map((one) => deltaMethod(one, quantity, levelBase)),
      candidates.map(({ support }) => support),
    );
    return {
      estimate,
      standardError,
      lower: estimate - factor * standardError,
      upper: estimate + factor * standardError,
    };
  };
}

function deltaMethod(
  { shape, outline, fit }: FittedOutline,
  quantity: Derived,
  levelBase: boolean,
): { readonly mean: number; readonly standardError: number } {
  const gradient = outlineNames(shape, levelBase).map((name) => {
    const step = 1e-6 * Math.max(1, Math.abs(outline[name]));
    const at = (sign: number): number => quantity(shape, { ...outline, [name]: outline[name] + sign * step });
    return (at(1) - at(-1)) / (2 * step);
  });
  const variance = gradient.reduce(
    (sum, a, i) => sum + gradient.reduce((inner, b, j) => inner + a * b * fit.covariance[i]![j]!, 0),
    0,
  );
  return { mean: quantity(shape, outline), standardError: Math.sqrt(Math.max(0, variance)) };
}

/** Area between points and base, from toe to toe. */
function trapezoid(points: readonly SectionPoint[], p: OutlineParameters): number {
  const inside = points
    .map(({ x, y }) => ({ x, y: y - p.offset - p.slope * x }))
    .filter(({ x }) => x > p.crest - p.leftReach && x < p.crest + p.rightReach);
  const closed = [{ x: p.crest - p.leftReach, y: 0 }, ...inside, { x: p.crest + p.rightReach, y: 0 }];
  return closed.slice(1).reduce((sum, b, i) => sum + ((b.x - closed[i]!.x) * (b.y + closed[i]!.y)) / 2, 0);
}

function findingsOf({
  outline: { shape, fit },
  measure,
  tracedArea,
  area,
  gaugeSd,
}: {
  readonly outline: FittedOutline;
  readonly measure: (quantity: Derived) => SectionMeasure;
  readonly tracedArea: number;
  readonly area: number;
  readonly gaugeSd: number | undefined;
}): readonly Finding[] {
  const findings: Finding[] = [];
  const skew = measure((_shape, { leftReach: l, rightReach: r }) => (l - r) / (2 * (l + r)));
  if (skew.lower > 0.03 || skew.upper < -0.03) {
    findings.push({
      code: "bead-lopsided",
      severity: "info",
      message: `the crest lies ${fixed(100 * skew.estimate, 0)} % of the width off the middle`,
      advice: "look at torch tilt, wire aim and arc blow",
    });
  }
  if (Math.abs(tracedArea / area - 1) > 0.05) {
    findings.push({
      code: "outline-misses-area",
      severity: "warning",
      message: `the points enclose ${fixed(tracedArea, 2)} mm2 and the ${shape} outline ${fixed(area, 2)} mm2`,
      advice: "trace more points, or take the traced area",
    });
  }
  if (gaugeSd !== undefined && fit.residualSd > 2 * gaugeSd) {
    findings.push({
      code: "outline-misfit",
      severity: "warning",
      message: `points scatter ${fixed(fit.residualSd, 3)} mm about the best outline, the gauge ${fixed(gaugeSd, 3)} mm`,
      advice: "the bead has no plain outline: take the traced area and measure width and height directly",
    });
  }
  return findings;
}
