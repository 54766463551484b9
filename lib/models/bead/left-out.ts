import { codedFromSettings } from "../../design/index.js";
import { BeadbenchError, grouped, ownValue } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { designBasis, type Fold } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { codedAxes, surfaceRows } from "./coded-axes.js";

/** With fewer blocks nothing is said of how much they differ: two give one difference. */
export const LEAST_BLOCKS = 3;

/** Coupons run at the same settings have the same label. */
export function settingLabels(settings: readonly Settings[]): readonly string[] {
  return settings.map((setting) => {
    // Twelve digits, as axes hold them: settings that differ by rounding are one.
    const held = Object.entries(setting).map(([name, v]) => [
      name,
      typeof v === "number" ? rounds(v, 12) : v,
    ]);
    return JSON.stringify(held.sort());
  });
}

/**
 * How coupons are left out to be foreseen: a coupon goes with all repeats of its setting, which would give it away, and,
 * where there are three blocks or more, with all of its block, so that it is foreseen as one of a setting and of a block
 * to come. Where whole blocks leave too few coupons for a straight line in the settings, settings alone are left out.
 *
 * A setting without which the others say nothing of some factor, such as the only one with another gas, is foreseen by no
 * form and left out of the comparison.
 *
 * @param blocks - the label of each coupon's block
 * @returns the folds that the others can foresee; none where no setting varies
 */
export function foldsOf(
  definition: StudyDefinition,
  settings: readonly Settings[],
  blocks: readonly string[] | undefined,
): readonly Fold[] {
  if (new Set(settingLabels(settings)).size < 2) return [];
  const bySetting = foldsBy(settings, undefined);
  const tests = trendTests(definition, settings);
  const foreseen = (fold: Fold): boolean => tests.every((keeps) => keeps(fold));
  if (blocks !== undefined && new Set(blocks).size >= LEAST_BLOCKS) {
    const byBoth = foldsBy(settings, blocks);
    if (byBoth.every(foreseen)) return byBoth;
  }
  return bySetting.filter(foreseen);
}

/** A fold per setting, or per setting and block. */
function foldsBy(settings: readonly Settings[], blocks: readonly string[] | undefined): readonly Fold[] {
  const labels = settingLabels(settings);
  const groups = grouped(labels.keys(), (i) => JSON.stringify([labels[i], blocks?.[i]]));
  return [...groups.values()].map((rows) => {
    const first = rows[0]!;
    const goes = (i: number): boolean =>
      labels[i] === labels[first] || (blocks !== undefined && blocks[i] === blocks[first]);
    return { rows, without: settings.flatMap((_, i) => (goes(i) ? [i] : [])) };
  });
}

/** Tests whether the coupons that stay determine a plane in the settings as all do, and one in their logarithms. */
function trendTests(
  definition: StudyDefinition,
  settings: readonly Settings[],
): readonly ((fold: Fold) => boolean)[] {
  const { axes } = codedAxes(definition, settings);
  const { row } = surfaceRows(axes, "linear");
  const coded = settings.map((setting) => codedFromSettings(axes, setting, "setting"));
  const logs = coded.map((point, i) =>
    point.map((x, j) => (axes[j]!.category ? x : Math.log(Number(ownValue(settings[i]!, axes[j]!.name))))),
  );
  const finite = logs.every((point) => point.every(Number.isFinite));
  return (finite ? [coded, logs] : [coded]).map((points) => keepsRank(points.map(row)));
}

function keepsRank(x: readonly (readonly number[])[]): (fold: Fold) => boolean {
  const names = x[0]!.map((_, j) => `x${j}`);
  const { rank } = designBasis(x, names);
  return ({ without }) => {
    const gone = new Set(without);
    const rest = x.filter((_, i) => !gone.has(i));
    return rest.length >= rank && designBasis(rest, names).rank === rank;
  };
}

/**
 * Predictions of left-out rows from estimates per fold; undefined for a row in no fold.
 *
 * @param estimates - per fold, from the rows that stay
 * @throws {BeadbenchError} `not-enough-data` where a fold has none: some coefficient rests on its coupons alone
 */
export function foreseen(
  {
    response,
    folds,
    settings,
  }: {
    readonly response: string;
    readonly folds: readonly Fold[];
    readonly settings: readonly Settings[];
  },
  estimates: readonly (readonly number[] | undefined)[],
  predict: (estimates: readonly number[], row: number) => number,
): readonly (number | undefined)[] {
  const out = new Array<number | undefined>(settings.length).fill(undefined);
  const alone = folds.filter((_, k) => estimates[k] === undefined).length;
  if (alone > 0) {
    const label = settingLabels(settings);
    const wholeBlocks = folds.some(({ rows, without }) => without.some((i) => label[i] !== label[rows[0]!]));
    throw new BeadbenchError(
      "not-enough-data",
      `${response}: ${alone} of ${folds.length} settings cannot be foreseen from the others${wholeBlocks ? " on other days or blocks" : ""}, because coefficients rest on them alone; the form cannot be judged. Run more settings or hold some constant`,
    );
  }
  folds.forEach((fold, k) => {
    for (const i of fold.rows) out[i] = predict(estimates[k]!, i);
  });
  return out;
}
