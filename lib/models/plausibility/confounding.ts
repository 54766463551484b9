import { type Finding, ownValue, valueUnless } from "../../errors/index.js";
import {
  fixed,
  mean,
  rounds,
  settingDigits,
  significant,
  standardDeviation,
} from "../../numeric/figures/index.js";
import { singularSystem } from "../../numeric/matrices/index.js";
import type { Coupon, Factor, StudyData, StudyDefinition } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import { knownQuantity, rigPhysics, settingLimits } from "../physical/index.js";
import { physicalSettingOf, physicalSettingOfCoupon, type Settings } from "../settings/index.js";

/** How far the numeric settings of the coupons moved together. Plain data. */
export interface Confounding {
  /** Factors that varied, in study order. */
  readonly factors: readonly string[];
  /** Correlations of the logarithms of the settings, same order. */
  readonly correlations: readonly (readonly number[])[];
  /** Variance inflation per factor: 1 when it moved independently of the others, Infinity (null in JSON) when never. */
  readonly inflation: readonly { readonly factor: string; readonly inflation: number }[];
  /** Two settings, against each other, that would part the factors best. Empty when all is well. */
  readonly partingSettings: readonly Settings[];
  readonly findings: readonly Finding[];
}

/** Variance inflation above which effects are hardly told apart. Common practice: 5 to 10. */
export const INFLATION_LIMIT = 5;

/** Correlation above which a further factor is named as having gone along with those that moved together. */
const COMPANION_CORRELATION = 0.6;

const nothing: Confounding = {
  factors: [],
  correlations: [],
  inflation: [],
  partingSettings: [],
  findings: [],
};

/**
 * Finds settings that moved together, whose effects no fit can tell apart, and settings that would part them.
 *
 * Judged on logarithms, as power laws see the settings; a setting of 0 or below, such as an angle, as it is. A category
 * is not judged.
 *
 * @source variance inflation factors from the singular values of the centred, scaled columns: Belsley, Kuh and
 *   Welsch, Regression Diagnostics, 1980
 */
export function confounding({ definition, coupons }: StudyData): Confounding {
  const columns = definition.factors.flatMap((factor) => {
    if (factor.kind === "category") return [];
    const values = coupons.map(({ settings }) => Number(ownValue(settings, factor.name)));
    const scale = values.every((value) => value > 0) ? logarithm : asItIs;
    const logs = values.map(scale.to);
    if (logs.length < 3 || !logs.every(Number.isFinite)) return [];
    const sd = standardDeviation(logs);
    return sd < 1e-9 ? [] : [{ factor, scale, logs, centre: mean(logs), sd }];
  });
  if (columns.length < 2) return nothing;
  const n = coupons.length;
  const scaled = columns.map(({ logs, centre, sd }) =>
    logs.map((x) => (x - centre) / (sd * Math.sqrt(n - 1))),
  );
  const correlations = scaled.map((a) => scaled.map((b) => a.reduce((sum, x, i) => sum + x * b[i]!, 0)));
  const p = columns.length;
  const { values, right } = singularSystem(Float64Array.from(scaled.flat()), n, p);
  const inflation = columns.map(({ factor }, j) => {
    let sum = 0;
    for (let k = 0; k < p; k++) {
      const size = values[k]!;
      sum +=
        size < 1e-9
          ? Math.abs(right[k * p + j]!) > 1e-6
            ? Number.POSITIVE_INFINITY
            : 0
          : (right[k * p + j]! / size) ** 2;
    }
    return { factor: factor.name, inflation: sum };
  });
  const poor = inflation.filter((entry) => entry.inflation > INFLATION_LIMIT);
  const weakest = Array.from({ length: p }, (_, j) => right[(p - 1) * p + j]!);
  const partingSettings =
    poor.length === 0 ? [] : settingsAlong({ definition, columns, direction: weakest, coupons });
  return {
    factors: columns.map(({ factor }) => factor.name),
    correlations,
    inflation,
    partingSettings,
    findings:
      poor.length === 0 ? [] : [finding({ poor, weakest, columns, correlations, settings: partingSettings })],
  };
}

/** How a setting is judged, and back. */
interface Scale {
  readonly to: (value: number) => number;
  readonly from: (value: number) => number;
}
const logarithm: Scale = { to: Math.log, from: Math.exp };
const asItIs: Scale = { to: (value) => value, from: (value) => value };

interface Column {
  readonly factor: Factor;
  readonly scale: Scale;
  readonly centre: number;
  readonly sd: number;
}

/** How far beyond what was run a derived quantity of a proposed coupon may lie: the rig is known to do that much. */
const BEYOND = 1.5;
/** Shortening of the reach until a coupon can be run, and the least worth proposing. */
const SHORTER = 0.9;
const LEAST_REACH = 0.05;

/**
 * The two settings farthest apart along the direction in which the coupons varied least, within the ranges, the
 * study's limits, and not far beyond the energies and sections that were run.
 */
function settingsAlong({
  definition,
  columns,
  direction,
  coupons,
}: {
  readonly definition: StudyDefinition;
  readonly columns: readonly Column[];
  readonly direction: readonly number[];
  readonly coupons: readonly Coupon[];
}): readonly Settings[] {
  const canRun = runnable(definition, coupons);
  const pair = [1, -1].flatMap((sign) => {
    const farthest = Math.min(
      ...columns.map(({ factor, scale, centre, sd }, j) => {
        const slope = sign * direction[j]! * sd;
        if (Math.abs(slope) < 0.05 * sd) return Number.POSITIVE_INFINITY;
        return (scale.to(slope > 0 ? factor.high : factor.low) - centre) / slope;
      }),
    );
    const at = (reach: number): Settings => {
      const varied = new Map(
        columns.map(({ factor, scale, centre, sd }, j) => [
          factor.name,
          onStep(factor, scale.from(centre + reach * sign * direction[j]! * sd)),
        ]),
      );
      return Object.fromEntries(
        definition.factors.flatMap(({ name }) => {
          const value = varied.get(name) ?? ownValue(coupons[0]?.settings, name);
          return value === undefined ? [] : [[name, value]];
        }),
      );
    };
    let reach = Math.max(0, farthest);
    while (reach > LEAST_REACH && !canRun(at(reach))) reach *= SHORTER;
    return reach > LEAST_REACH ? [at(reach)] : [];
  });
  return pair.length === 2 ? pair : [];
}

/** Whether a rig could run a setting, as far as the limits and the coupons already run tell. */
function runnable(definition: StudyDefinition, coupons: readonly Coupon[]): (settings: Settings) => boolean {
  const physics = rigPhysics({ definition });
  const limits = valueUnless("bad-study", () => settingLimits({ definition })) ?? [];
  const derived = (["arc_energy", "bead_area", "wire_share", "arc_power"] as const).flatMap((name) => {
    const known = coupons.flatMap(
      (coupon) => knownQuantity(name, physicalSettingOfCoupon({ definition }, coupon), physics) ?? [],
    );
    return known.length === 0
      ? []
      : [{ name, low: Math.min(...known) / BEYOND, high: Math.max(...known) * BEYOND }];
  });
  return (settings) => {
    const setting = physicalSettingOf({ definition }, settings);
    return (
      limits.every(({ value, min, max }) => {
        const found = value(settings);
        return !(found < (min ?? Number.NEGATIVE_INFINITY)) && !(found > (max ?? Number.POSITIVE_INFINITY));
      }) &&
      derived.every(({ name, low, high }) => {
        const found = knownQuantity(name, setting, physics);
        return found === undefined || (found >= low && found <= high);
      })
    );
  };
}

function onStep(factor: Factor, value: number): number {
  if (factor.levels !== undefined) {
    const levels = factor.levels.map(Number);
    return levels.reduce((best, level) => (Math.abs(level - value) < Math.abs(best - value) ? level : best));
  }
  const bounded = Math.min(factor.high, Math.max(factor.low, value));
  if (factor.step === undefined) {
    const round = 10 ** (Math.floor(Math.log10(factor.high - factor.low)) - 1);
    return Math.min(factor.high, Math.max(factor.low, rounds(Math.round(bounded / round) * round, 12)));
  }
  return rounds(factor.low + Math.round((bounded - factor.low) / factor.step) * factor.step, 12);
}

function finding({
  poor,
  weakest,
  columns,
  correlations,
  settings,
}: {
  readonly poor: Confounding["inflation"];
  readonly weakest: readonly number[];
  readonly columns: readonly Column[];
  readonly correlations: readonly (readonly number[])[];
  readonly settings: readonly Settings[];
}): Finding {
  const largest = Math.max(...weakest.map(Math.abs));
  const together = columns
    .filter((_, j) => Math.abs(weakest[j]!) > 0.3 * largest)
    .map(({ factor }) => factor.name);
  const along = columns.flatMap(({ factor }, j) => {
    if (together.includes(factor.name)) return [];
    const strongest = correlations[j]!.reduce(
      (best, r, k) =>
        together.includes(columns[k]!.factor.name) && Math.abs(r) > Math.abs(best.r) ? { r, k } : best,
      { r: 0, k: j },
    );
    return Math.abs(strongest.r) < COMPANION_CORRELATION
      ? []
      : [
          `${factor.name} mostly went along with ${columns[strongest.k]!.factor.name} (correlation ${fixed(strongest.r, 2)})`,
        ];
  });
  const beads = settings
    .map((setting) =>
      columns
        .map(
          ({ factor }) =>
            `${factor.name} ${withUnit(settingDigits(Number(ownValue(setting, factor.name))), factor.unit)}`,
        )
        .join(", "),
    )
    .map((text) => `[${text}]`)
    .join(" and ");
  return {
    code: "moved-together",
    severity: "warning",
    message: `${together.join(", ")} moved together (variance inflation ${poor
      .map(({ factor, inflation }) => `${factor} ${significant(inflation)}`)
      .join(
        ", ",
      )}), so their separate effects can hardly be told apart${along.length === 0 ? "" : `; ${along.join("; ")}`}`,
    advice:
      settings.length === 0
        ? "within the limits no coupon parts them: widen the range of one of them, and move it against the others"
        : `coupons that would part them: ${beads}; check first that the rig can run them`,
    about: together,
  };
}
