import { BeadbenchError, ownValue } from "../../errors/index.js";
import type { RandomStream } from "../../numeric/index.js";
import { rounds, settingDigits } from "../../numeric/index.js";
import { withUnit } from "../../units/index.js";
import { type Axis, centrePoint, type Point, type Settings, settingsOf } from "./factor.js";
import { type DesignLimit, type Region, violation } from "./limit.js";

/** Descents over all axes from one place; each lowers the violation, few are needed. */
const MOST_PASSES = 200;

/** Least total violation found by descending one factor at a time from several places, and where. */
function leastViolation(
  axes: readonly Axis[],
  limits: readonly DesignLimit[],
  stream: RandomStream,
): { readonly excess: number; readonly point: Point } {
  const score = (point: Point): number => {
    const settings = settingsOf(axes, point);
    return limits.reduce((sum, limit) => sum + violation(limit, settings), 0);
  };
  let best = { excess: Number.POSITIVE_INFINITY, point: centrePoint(axes, 0) };
  for (let start = 0; start < 40 && best.excess > 0; start++) {
    const point = [
      ...(start === 0 ? centrePoint(axes, 0) : axes.map((axis) => stream.integer(0, axis.values.length - 1))),
    ];
    let excess = score(point);
    for (let pass = 0, improved = true; improved && excess > 0 && pass < MOST_PASSES; pass++) {
      improved = false;
      for (let j = 0; j < axes.length; j++) {
        const last = axes[j]!.values.length - 1;
        for (let stride = Math.max(1, Math.ceil(last / 8)); ; stride = Math.ceil(stride / 2)) {
          const home = point[j]!;
          const around = stride > last / 16 ? levelsAcross(last, stride) : [home - stride, home + stride];
          for (const level of around) {
            if (level < 0 || level > last) continue;
            const held = point[j]!;
            point[j] = level;
            const trial = score(point);
            if (trial < excess) {
              excess = trial;
              improved = true;
            } else point[j] = held;
          }
          if (stride === 1) break;
        }
      }
    }
    if (excess < best.excess) best = { excess, point: [...point] };
  }
  return best;
}

function levelsAcross(last: number, stride: number): number[] {
  const levels: number[] = [];
  for (let level = 0; level < last; level += stride) levels.push(level);
  return [...levels, last];
}

function describeBound({ name, min, max, unit }: DesignLimit): string {
  const bounds = [min === undefined ? "" : `at least ${min}`, max === undefined ? "" : `at most ${max}`];
  return `${name} ${bounds.filter((part) => part !== "").join(" and ")}${unit === undefined ? "" : ` ${unit}`}`;
}

/**
 * An allowed point, or an error that says which limit, or which limits together, leave none.
 *
 * @throws {BeadbenchError} `infeasible`, naming the limits and the closest value that can be reached
 */
export function requireAllowedPoint(region: Region, stream: RandomStream): Point {
  const { axes, limits } = region;
  const all = leastViolation(axes, limits, stream);
  if (all.excess === 0) return all.point;
  for (const limit of limits) {
    const alone = leastViolation(axes, [limit], stream);
    if (alone.excess > 0) {
      const settings = settingsOf(axes, alone.point);
      const reached = rounds(limit.value(settings), 4);
      const unit = limit.unit === undefined ? "" : ` ${limit.unit}`;
      throw infeasible(
        `the limit "${describeBound(limit)}" alone leaves no setting: the closest reachable value is ${reached}${unit} at ${describeSettings(axes, settings)}; widen the factor ranges or the limit`,
        [limit.name],
      );
    }
  }
  for (const [i, one] of limits.entries()) {
    for (const two of limits.slice(i + 1)) {
      if (leastViolation(axes, [one, two], stream).excess > 0) {
        throw infeasible(
          `the limits "${describeBound(one)}" and "${describeBound(two)}" together leave no setting, though each alone does; relax one of them or widen the factor ranges`,
          [one.name, two.name],
        );
      }
    }
  }
  throw infeasible(
    `the limits ${limits.map((limit) => `"${describeBound(limit)}"`).join(", ")} together leave no setting; relax one of them or widen the factor ranges`,
    limits.map((limit) => limit.name),
  );
}

function describeSettings(axes: readonly Axis[], settings: Settings): string {
  const said = (value: number | string | undefined): string =>
    typeof value === "number" ? settingDigits(value) : String(value);
  return axes.map(({ name, unit }) => `${name} ${withUnit(said(ownValue(settings, name)), unit)}`).join(", ");
}

function infeasible(message: string, limits: readonly string[]): BeadbenchError {
  return new BeadbenchError("infeasible", `no plan exists: ${message}`, { limits });
}
