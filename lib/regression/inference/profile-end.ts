import { findRoot } from "../../numeric/index.js";
import type { CurvePoint, ProfileCurve } from "./profile-curve.js";

/** Why a profile has no end on one side. */
export type OpenReason = "at-bound" | "levels-off" | "not-followed";

/** Where a profile crosses the limit on one side, or how far it was followed and why no farther. */
export interface ProfileEnd {
  readonly value: number;
  readonly open: OpenReason | undefined;
}

const MAX_STEPS = 80;
/** A step aims at this share of the limit: held fits start near their end, and the curve is drawn with enough points. */
const STRIDE = 0.4;
/** Steps that double the distance, each raising the height by less than this share of the limit, level off. */
const FLAT = 2e-3;
const FLAT_STEPS = 6;
/** A held fit that does not arrive is tried again nearer this often before the curve counts as lost. */
const RETRIES = 12;
/** Held fits spent on one end; of 387 ends found on 400 drawn problems, mostly ill-posed, one took 129 and the others 82 at most. */
const MOST_FITS = 200;
/** How near the limit an end must lie, in units of t. */
const SHARP = 1e-4;

/**
 * Follows a profile from its minimum to one side until its height passes the limit, and solves for the crossing. An
 * end is closed only where the held fit arrived, and further starts there found nothing lower; otherwise the search
 * goes on from what they found, or the end is open, as it is where more held fits than a curve of one piece needs found none.
 */
export function findEnd({
  curve,
  side,
  step,
  target,
  limit,
}: {
  readonly curve: ProfileCurve;
  /** +1 or -1. */
  readonly side: 1 | -1;
  /** First distance to look at. */
  readonly step: number;
  readonly target: number;
  /** Bound of the parameter on this side. */
  readonly limit: number;
}): ProfileEnd {
  const centre = curve.points[0]!;
  const clip = (value: number): number => (side > 0 ? Math.min(value, limit) : Math.max(value, limit));
  /** 0 cannot be crossed: the curve is followed in the logarithm. */
  let barred = false;
  let asked = false;
  let before: CurvePoint | undefined;
  let inside: CurvePoint = centre;
  let stride = Math.min(step, centre.value === 0 ? step : 0.5 * Math.abs(centre.value) + 0.1 * step);
  let flat = 0;
  let lost = 0;
  const { asked: askedBefore } = curve;
  for (let k = 0; k < MAX_STEPS; k++) {
    if (curve.asked - askedBefore > MOST_FITS) return { value: inside.value, open: "not-followed" };
    if (inside.value === limit) return { value: limit, open: "at-bound" };
    let value = clip(inside.value + side * stride);
    if (crossesZero(inside.value, value)) {
      if (!asked) {
        asked = true;
        const zero = curve.at(0, true);
        if (zero.height < target) {
          [before, inside] = [inside, zero];
          stride = Math.max(step, Math.abs(before.value));
          continue;
        }
        barred = true;
      }
      if (barred) value = inside.value / 4;
    }
    if (!Number.isFinite(value) || value === inside.value) return { value: inside.value, open: "levels-off" };
    let point = curve.at(value);
    if (point.height >= target && !point.settled) point = curve.at(value, true);
    if (point.height < target) {
      const rise = point.height - inside.height;
      const far = Math.abs(value - centre.value) > 1.5 * Math.abs(inside.value - centre.value) || barred;
      flat = rise < FLAT * target && far && inside !== centre ? flat + 1 : 0;
      if (flat === FLAT_STEPS) return { value, open: "levels-off" };
      [before, inside] = [inside, point];
      stride = nextStride({ before, inside, centre, target, barred });
      lost = 0;
      continue;
    }
    if (!point.settled) {
      if (++lost > RETRIES) return { value: inside.value, open: "not-followed" };
      stride = Math.abs(value - inside.value) / 3;
      continue;
    }
    const end = cross({ curve, inside, outside: point, target });
    if (end.closed) return { value: end.point.value, open: undefined };
    if (end.point.height >= target) {
      if (++lost > RETRIES) return { value: inside.value, open: "not-followed" };
      stride = Math.abs(end.point.value - inside.value) / 3;
      continue;
    }
    if (end.point.value === inside.value) lost++;
    [before, inside] = [inside, end.point];
    stride = Math.abs(value - inside.value) || stride / 3;
  }
  return { value: inside.value, open: "levels-off" };
}

const crossesZero = (from: number, to: number): boolean => from !== 0 && from * to <= 0;

/** Distance at which the height should have risen by a share of the limit, by the shorter of two straight lines. */
function nextStride({
  before,
  inside,
  centre,
  target,
  barred,
}: {
  readonly before: CurvePoint;
  readonly inside: CurvePoint;
  readonly centre: CurvePoint;
  readonly target: number;
  readonly barred: boolean;
}): number {
  const rise = inside.height - before.height;
  const aim = Math.min(STRIDE * target, Math.max(0.02 * target, 1.02 * target - inside.height));
  const distance = Math.abs(inside.value - before.value);
  const ahead = rise > 0 ? Math.min(4, aim / rise) : 4;
  if (!barred) return Math.min(ahead * distance, 4 * Math.abs(inside.value - centre.value) || distance);
  const ratio = Math.abs(before.value / inside.value);
  return Math.abs(inside.value) * (1 - ratio ** -ahead);
}

interface Crossing {
  readonly point: CurvePoint;
  readonly closed: boolean;
}

/** Solves for the crossing between a point inside and one outside, in the logarithm where they are far apart. */
function cross({
  curve,
  inside,
  outside,
  target,
}: {
  readonly curve: ProfileCurve;
  readonly inside: CurvePoint;
  readonly outside: CurvePoint;
  readonly target: number;
}): Crossing {
  const [a, b] = [inside.value, outside.value];
  const ratio = b / a;
  const logarithm = a !== 0 && ratio > 0 && (ratio > 3 || ratio < 1 / 3);
  const from = (u: number): number => (logarithm ? a * Math.exp(u) : u);
  const [start, end] = logarithm ? [0, Math.log(ratio)] : [a, b];
  const known = new Map<number, CurvePoint>([
    [start, inside],
    [end, outside],
  ]);
  const excess = (u: number): number => {
    const point = known.get(u) ?? curve.at(from(u));
    known.set(u, point);
    return Math.min(point.height, 1e6) - target;
  };
  const { x } = findRoot({ f: excess, lower: start, upper: end, tolerance: 1e-12 * Math.abs(end - start) });
  const found = known.get(x) ?? inside;
  if (Math.abs(found.height - target) > SHARP) {
    // The heights jump: a held fit on one side ended elsewhere. The lower branch is the curve.
    const nearest = curve.at(found.value, true);
    return { point: nearest, closed: false };
  }
  const checked = curve.at(found.value, true);
  return { point: checked, closed: checked.settled && checked.height > target - SHARP };
}
