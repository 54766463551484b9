import { type Axis, codedFromSettings } from "../../design/index.js";
import { BeadbenchError, type Finding, onlyDefined } from "../../errors/index.js";
import { fitOrdinal, type GradeChances, type OrdinalFit, predictOrdinal } from "../../regression/index.js";
import { type Coupon, matchKind, resultOf, type StudyData } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { codedAxes, surfaceRows } from "./coded-axes.js";
import { DEFAULT_LEVEL } from "./form.js";
import { usableCoupons } from "./response-data.js";

/** An ordered logit of one graded response on the settings. Plain data. */
export interface GradeFit {
  readonly response: string;
  /** Grades that were given, worst first. */
  readonly grades: readonly number[];
  /** Coupons given each grade. */
  readonly counts: readonly number[];
  /** The settings that vary; numbers run from -1 to +1 over the coupons' ranges. */
  readonly axes: readonly Axis[];
  /** Settings that never moved, so nothing is known of them. */
  readonly held: readonly string[];
  readonly coupons: readonly string[];
  /** Effects per half range of a setting, then thresholds, as log odds. */
  readonly fit: OrdinalFit;
  /** Standard deviation of the weak prior on the effects, where one was needed; absent for plain likelihood. */
  readonly priorSd?: number;
  /** Chance of each grade in the middle of the settings and with one setting at a time at its ends. */
  readonly chances: readonly GradeChance[];
  /** Coverage of the intervals. */
  readonly level: number;
  readonly findings: readonly Finding[];
}

/** Chances of the grades at one setting. */
export interface GradeChance {
  /** What is set apart from the middle; absent in the middle itself. */
  readonly at?: { readonly factor: string; readonly value: number | string; readonly unit: string };
  /** One per grade. */
  readonly chances: readonly number[];
}

/**
 * Standard deviation of the prior on an effect, log odds per half range: a setting moved from one end to the other
 * may change the odds some hundredfold, but not without end.
 *
 * @source scale 2.5 of A. Gelman et al., Ann. Appl. Stat. 2 (2008) 1360 (a Cauchy there), from memory
 */
const PRIOR_SD = 2.5;
/** Coupons that must be left over for likelihood alone. Common practice, no source. */
const LEAST_SPARE = 3;

/**
 * Fits the grades of one response by the cumulative logit model in coded settings,
 *
 *     ln [P(grade <= k) / P(grade > k)] = threshold_k - sum bi xi,   x = -1 .. +1 over the coupons' ranges,
 *
 * by likelihood alone where coupons allow it; where a setting separates the grades, or coupons are few, under a weak
 * prior, which a finding says. Effects are taken as the same at every threshold. Grades that were never given get no
 * chance.
 *
 * @throws {BeadbenchError} `not-enough-data` unless two coupons differ in the grade and a setting varies
 * @source P. McCullagh, J. R. Statist. Soc. B 42 (1980) 109-142
 */
export function fitGrades(
  { definition, coupons }: StudyData,
  response: string,
  level = DEFAULT_LEVEL,
): GradeFit {
  const graded = usableCoupons(coupons).flatMap((coupon) => {
    const grade = gradeOf(coupon, response);
    return grade === undefined ? [] : [{ id: coupon.id, settings: coupon.settings, grade }];
  });
  const grades = [...new Set(graded.map(({ grade }) => grade))].sort((a, b) => a - b);
  if (grades.length < 2) {
    throw new BeadbenchError(
      "not-enough-data",
      graded.length === 0
        ? `${response}: no coupon has a grade to fit`
        : `${response}: ${graded.length === 1 ? "the one graded coupon has" : `all ${graded.length} graded coupons have`} grade ${grades[0]}; the fit needs two different grades`,
    );
  }
  const { axes, held } = codedAxes(
    definition,
    graded.map(({ settings }) => settings),
  );
  const data = {
    x: graded.map(({ settings }) => rowOf(axes, settings, response)),
    grade: graded.map(({ grade }) => String(grade)),
  };
  const names = surfaceRows(axes, "linear").names.slice(1);
  const common = { names, grades: grades.map(String), level };
  const few = graded.length < names.length + grades.length - 1 + LEAST_SPARE;
  const plain = few ? undefined : fitOrdinal(data, common);
  const settled = plain?.status === "converged";
  const prior = { mean: names.map(() => 0), sd: names.map(() => PRIOR_SD) };
  const fit = settled ? plain : fitOrdinal(data, { ...common, prior });
  if (fit.status !== "converged") {
    throw new BeadbenchError("not-enough-data", `${response}: the ordered logit of its grades found no fit`);
  }
  return {
    response,
    grades,
    counts: grades.map((grade) => graded.filter((coupon) => coupon.grade === grade).length),
    axes,
    held,
    coupons: graded.map(({ id }) => id),
    fit,
    ...(settled ? {} : { priorSd: PRIOR_SD }),
    chances: chancesOver(axes, fit),
    level,
    findings: settled ? [] : [priorFinding(response, graded.length, few)],
  };
}

/**
 * Chances of the grades at settings of one's own, in the factors' units, with the interval of each "this grade or
 * better".
 *
 * @throws {BeadbenchError} `bad-argument` for a missing setting or an unknown category
 * @example
 * const { graded = [] } = fitStudy(openStudy("my-study"));
 * const [chances] = predictGrades(graded[0], [{ current: 140, travel_speed: 120 }]);
 */
export function predictGrades(fit: GradeFit, settings: readonly Settings[]): readonly GradeChances[] {
  return predictOrdinal(
    fit.fit,
    settings.map((setting) => rowOf(fit.axes, setting, fit.response)),
    { level: fit.level },
  );
}

function gradeOf(coupon: Coupon, response: string): number | undefined {
  const result = resultOf(coupon, response);
  const none = (): undefined => undefined;
  return (
    result &&
    matchKind<number | undefined>(result, { measured: none, passFail: none, grade: ({ grade }) => grade })
  );
}

/** The thresholds stand for the constant, which is the first column of a surface. */
function rowOf(axes: readonly Axis[], settings: Settings, response: string): readonly number[] {
  return surfaceRows(axes, "linear")
    .row(codedFromSettings(axes, settings, response))
    .slice(1);
}

function chancesOver(axes: readonly Axis[], fit: OrdinalFit): readonly GradeChance[] {
  const middle: Settings = Object.fromEntries(
    axes.map(({ name, category, low, high, values }) => [name, category ? values[0]! : (low + high) / 2]),
  );
  const moved = axes.flatMap(({ name, unit, category, low, high, values }) =>
    // The middle stands at the first level of a category already.
    (category ? values.slice(1) : [low, high]).map((value) => ({ factor: name, value, unit })),
  );
  return [undefined, ...moved].map((at) => {
    const settings = at === undefined ? middle : { ...middle, [at.factor]: at.value };
    const [found] = predictOrdinal(fit, [rowOf(axes, settings, at?.factor ?? "middle")], {
      intervals: "wald",
    });
    return { ...onlyDefined({ at }), chances: found!.chances };
  });
}

function priorFinding(response: string, coupons: number, few: boolean): Finding {
  return {
    code: "weak-prior",
    severity: "warning",
    message: `${response}: ${few ? `${coupons} graded coupons are few for its settings` : "a setting, or several together, part the grades without overlap"}, so effects are held by a weak belief that none exceeds a few units of log odds per half range`,
    advice: "take the signs, not the sizes; grade coupons between the settings of good and poor ones",
    about: [response],
  };
}
