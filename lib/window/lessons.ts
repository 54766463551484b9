import { ownValue } from "../errors/index.js";
import { type BoundaryDraw, buildOutcomeModel, type Margin, type OutcomeModel } from "../models/index.js";
import { settingDigits } from "../numeric/figures/index.js";
import { brief, fixed, inWords, percent, rounds } from "../numeric/index.js";
import type { Factor } from "../study/index.js";
import { withUnit } from "../units/index.js";

/** What a check has taught of one quantity: from where on it fails coupons. Plain data. */
export interface Lesson {
  readonly check: string;
  readonly quantity: string;
  /** Whether coupons fail above that value, or below it. */
  readonly side: "above" | "below";
  /** The value, in `unit`; of a derived quantity without a unit of its own a share of that at the middle of the ranges. */
  readonly at: number;
  readonly unit: string;
  /** Chance that it fails coupons from there on, and what that was before any coupon. */
  readonly chance: number;
  readonly before: number;
  readonly text: string;
}

/** A lesson is told when it is so sure, and was so unsure before any coupon. */
const SURE = 0.9;
const UNSURE = 0.6;
/** Units of derived quantities a shop can look up; others are told beside the middle of the ranges. */
const derivedUnits: Readonly<Record<string, string>> = {
  "arc energy": "J/mm",
  "metal per length": "mm2",
  "wire share of arc power": "1",
  "height over width": "1",
};
/** Values of a quantity looked at over its range. */
const STEPS = 60;

/**
 * What the checks learnt: per check the quantity beyond which it now fails coupons with a chance of 0.9 or more although that
 * was open before any coupon, for as many quantities as that is true of. What one boundary alone does is told, whatever
 * the others do, averaged over its posterior: where two quantities may both be to blame for the failures, neither is named.
 */
export function lessonsOf(model: OutcomeModel): readonly Lesson[] {
  if (model.checks.every(({ failures }) => failures === 0)) return [];
  const { definition, seed } = model;
  const prior = buildOutcomeModel({ definition, coupons: [] }, { seed, draws: model.drawCount });
  return model.checks.flatMap((check) => {
    const blank = prior.checks.find(({ name }) => name === check.name);
    if (check.failures === 0 || blank === undefined) return [];
    return check.margins.flatMap((margin, k): readonly Lesson[] => {
      const path = pathAlong(model, margin);
      const now = failing(check.draws, k, path);
      const before = failing(blank.draws, k, path);
      const first = now.findIndex((chance, i) => chance >= SURE && before[i]! <= UNSURE);
      return first === -1 ? [] : [lesson({ model, check: check.name, margin, path, first, now, before })];
    });
  });
}

/** Points from the safe end of a margin's quantity to the far one, through the middle of the ranges. */
interface Path {
  readonly points: readonly Float64Array[];
  /** Value of the quantity at each point, on its own scale. */
  readonly values: readonly number[];
}

/** The way through the ranges along which a quantity changes most. */
function pathAlong({ coordinates }: OutcomeModel, { quantity, side }: Margin): Path {
  const points = Array.from({ length: STEPS + 1 }, (_, i) => {
    const share = side * ((2 * i) / STEPS - 1);
    return Float64Array.from(coordinates, ({ half }, j) => share * half * Math.sign(quantity.slopes[j]!));
  });
  return {
    points,
    values: points.map((point) =>
      point.reduce((sum, x, j) => sum + quantity.slopes[j]! * x, quantity.constant),
    ),
  };
}

/** Chance at each point that one margin of a check fails a coupon, over the draws of its boundary. */
function failing(draws: readonly BoundaryDraw[], k: number, { points }: Path): readonly number[] {
  return points.map((point) => {
    const fails = draws.map(({ constants, slopes }) => {
      const margin = point.reduce((sum, x, j) => sum + slopes[k * point.length + j]! * x, constants[k]!);
      return 1 / (1 + Math.exp(margin));
    });
    return fails.reduce((sum, chance) => sum + chance, 0) / fails.length;
  });
}

function lesson({
  model,
  check,
  margin,
  path,
  first,
  now,
  before,
}: {
  readonly model: OutcomeModel;
  readonly check: string;
  readonly margin: Margin;
  readonly path: Path;
  readonly first: number;
  readonly now: readonly number[];
  readonly before: readonly number[];
}): Lesson {
  const axis = model.coordinates.find(
    ({ factor, level }) => (level === undefined ? factor : `${factor} ${level}`) === margin.name,
  );
  const factor = model.definition.factors.find(({ name }) => name === axis?.factor);
  const side = margin.side === 1 ? "above" : "below";
  const chance = now[first]!;
  const quantity = inWords(margin.name);
  const told = `${inWords(check)} fails, ${fixed(10 * Math.min(chance, 0.99), 0)} chances in 10 (${fixed(10 * before[first]!, 0)} in 10 before any coupon)`;
  const common = { check, quantity: margin.name, side, chance, before: before[first]! } as const;
  if (axis === undefined || factor === undefined) {
    const value = path.values[first]!;
    const unit = Object.hasOwn(derivedUnits, margin.name) ? ownValue(derivedUnits, margin.name) : undefined;
    if (unit !== undefined) {
      const at = Math.exp(value);
      return { ...common, at, unit, text: `${quantity} ${side} ${withUnit(brief(at), unit)}: ${told}` };
    }
    const at = Math.exp(value - margin.quantity.constant);
    return {
      ...common,
      at,
      unit: "1",
      text: `${quantity} ${side} ${percent(at)} of that at the middle of the ranges: ${told}`,
    };
  }
  if (axis.level !== undefined) return { ...common, at: 1, unit: "1", text: `${quantity}: ${told}` };
  const value = path.values[first]!;
  const exact = axis.kind === "log" ? Math.exp(axis.centre + value) : axis.centre + axis.scale * value;
  const at = onStep(exact, factor, side);
  return {
    ...common,
    at,
    unit: factor.unit,
    text: `${quantity} ${side} ${withUnit(settingDigits(at), factor.unit)}: ${told}`,
  };
}

/** The next value a factor can be set to on the failing side, so that no more is claimed than is known. */
function onStep(value: number, { low, high, step }: Factor, side: Lesson["side"]): number {
  const size = step ?? (high - low) / 100;
  const steps = (value - low) / size;
  const whole = side === "above" ? Math.ceil(steps - 1e-6) : Math.floor(steps + 1e-6);
  return rounds(low + whole * size, 12);
}
