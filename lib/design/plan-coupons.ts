import { BeadbenchError, type Finding, requireNumber } from "../errors/index.js";
import { randomStream } from "../numeric/index.js";
import { centralComposite } from "./central-composite.js";
import {
  type Axis,
  centrePoint,
  codedFromSettings,
  type DesignFactor,
  makeAxes,
  type Point,
  pointFromCoded,
  type Settings,
  settingsOf,
} from "./factor.js";
import { requireAllowedPoint } from "./infeasible.js";
import { maximinLatinHypercube } from "./latin-hypercube.js";
import { type DesignLimit, makeRegion, type Region } from "./limit.js";
import type { CodedRun, DesignKind, Plan, PlannedRun, RunRole } from "./plan.js";
import { crossLevels } from "./two-level.js";

/** What to plan. */
export interface PlanOptions {
  readonly factors: readonly DesignFactor[];
  /** How many coupons can be run, centre repeats and control coupons included. */
  readonly coupons: number;
  /** Default: central composite when it fits into the count, else a factorial, else a Latin hypercube. */
  readonly design?: DesignKind;
  readonly limits?: readonly DesignLimit[];
  readonly seed: number;
  /** Coupons at the centre. Default: what the design leaves of `coupons`. */
  readonly centreRepeats?: number;
  /** Settings already run; space-filling plans keep away from them. */
  readonly existing?: readonly Settings[];
}

interface Draft {
  readonly role: RunRole;
  readonly point: Point;
}

/**
 * Plans coupons in a seeded random order of work, every value on its step and within the limits.
 *
 * @throws {BeadbenchError} `bad-argument` for bad factors or too few coupons for the design;
 *   `infeasible` when the limits leave no setting
 */
export function planCoupons(options: PlanOptions): Plan {
  const { factors, coupons, seed, limits = [], existing = [] } = options;
  requireNumber("coupons", coupons, { min: 1, max: 10_000 });
  const axes = makeAxes(factors);
  const region = makeRegion(axes, limits);
  const stream = randomStream(seed);
  const allowed = requireAllowedPoint(region, stream.split("allowed"));
  const design = options.design ?? defaultDesign(axes, coupons);
  const findings: Finding[] = [];
  let drafts: readonly Draft[];
  if (design === "latin-hypercube") {
    const centres = Math.min(options.centreRepeats ?? 0, coupons - 1);
    const fixed = existing.map((settings, i) =>
      codedFromSettings(factors, axes, settings, `existing coupon ${i + 1}`),
    );
    const filled = maximinLatinHypercube(region, coupons - centres, fixed, allowed, stream.split("latin"));
    drafts = [
      ...filled.points.map((point): Draft => ({ role: "space-filling", point })),
      ...centreDrafts(axes, centres),
    ];
  } else {
    drafts = classicalDrafts(design, axes, coupons, options.centreRepeats);
  }
  const placed = drafts.map((draft) => ({ ...draft, point: pullInside(region, draft.point, allowed) }));
  const moved = placed.filter((draft, i) => draft.point !== drafts[i]!.point).length;
  if (moved > 0) {
    findings.push({
      code: "moved-inside-limits",
      severity: "warning",
      message: `${moved} of ${placed.length} coupons broke a limit and were pulled towards an allowed setting, so the plan is no longer balanced`,
      advice: 'the design "optimal" chooses coupons for the allowed region itself',
    });
  }
  const runs = stream
    .split("order")
    .shuffle(placed.map((draft, i) => ({ ...draft, standardOrder: i + 1 })))
    .map(
      ({ role, point, standardOrder }, i): PlannedRun => ({
        order: i + 1,
        standardOrder,
        role,
        settings: settingsOf(axes, point),
      }),
    );
  return { design, seed, factors, runs, findings };
}

function centreDrafts(axes: readonly Axis[], count: number): Draft[] {
  return Array.from({ length: count }, (_, i) => ({ role: "centre", point: centrePoint(axes, i) }));
}

function defaultDesign(axes: readonly Axis[], coupons: number): DesignKind {
  const numeric = axes.every((axis) => !axis.category);
  if (numeric && axes.length >= 2 && axes.length <= 8) {
    const { runs } = centralComposite(axes.length, { factorialCentres: 1 });
    if (coupons >= runs.length) return "central-composite";
  }
  return coupons >= 2 ** axes.length && numeric ? "factorial" : "latin-hypercube";
}

function classicalDrafts(
  design: DesignKind,
  axes: readonly Axis[],
  coupons: number,
  centreRepeats: number | undefined,
): readonly Draft[] {
  const base = codedBase(design, axes);
  const needed = base.length + (centreRepeats ?? 0);
  if (coupons < needed) {
    throw new BeadbenchError(
      "bad-argument",
      `a ${design} plan of ${axes.length} factors needs ${needed} coupons, got ${coupons}; allow more, drop a factor, or choose latin-hypercube`,
    );
  }
  const points = base.map((run): Draft => ({ role: run.role, point: pointFromCoded(axes, run.coded) }));
  return [...points, ...centreDrafts(axes, centreRepeats ?? coupons - base.length)];
}

function codedBase(design: DesignKind, axes: readonly Axis[]): readonly CodedRun[] {
  if (design === "factorial") {
    const levels = axes.map((axis) => (axis.category ? axis.coded : [-1, 1]));
    return crossLevels(levels).map((coded) => ({ role: "factorial", coded }));
  }
  if (design === "central-composite" && axes.every((axis) => !axis.category)) {
    return centralComposite(axes.length, { factorialCentres: 0 }).runs;
  }
  throw new BeadbenchError("bad-argument", `the design "${design}" cannot be built for these factors`);
}

/** The point itself when allowed, else the first allowed one on the way to `target`. */
function pullInside(region: Region, point: Point, target: Point): Point {
  if (region.allows(point)) return point;
  for (let share = 0.02; share < 1; share += 0.02) {
    const trial = point.map((level, j) =>
      region.axes[j]!.category ? level : Math.round(level + share * (target[j]! - level)),
    );
    if (region.allows(trial)) return trial;
  }
  return target;
}
