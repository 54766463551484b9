import { BeadbenchError, ownValue } from "../../errors/index.js";
import {
  buildOutcomeModel,
  fromLinkScale,
  type LayerSet,
  makePredictor,
  measuredSize,
  selectLayers,
  soundCoupons,
} from "../../models/index.js";
import { median } from "../../numeric/index.js";
import type { StudyData } from "../../study/index.js";
import { convert } from "../../units/index.js";
import type { GrowthBelief } from "./growth-state.js";
import type { WallTask } from "./wall-task.js";

/** What the study's own coupons of first layers or walls foretell of a layer's growth. */
export interface CouponHint {
  readonly set: LayerSet;
  readonly coupons: number;
  /** What was measured. */
  readonly response: string;
  readonly layer: number;
  readonly growth: number;
  /** Of the growth of a wall at large, mm. */
  readonly sd: number;
}

/** Fewest coupons from which a height is foretold. */
const FEWEST = 4;
/** Layers that a hint stands for where the coupons do not say: a bead on the base is layer 1. */
const USUAL_LAYER: Readonly<Record<LayerSet, number>> = { first: 1, wall: 6 };
/**
 * Crest of a bead above its base, beside how far the next layer finds its top raised: sd of the logarithm of what lies
 * between them; common practice, no source.
 */
const CREST: Readonly<Record<LayerSet, number>> = { first: 0.12, wall: 0.03 };

/** Heights that the study's coupons foretell at the settings, first layers and walls apart. */
export function couponHints(task: WallTask): readonly CouponHint[] {
  return (["first", "wall"] as const).flatMap((set) => hintOf(task, set));
}

function hintOf({ study, with: { settings } }: WallTask, set: LayerSet): readonly CouponHint[] {
  const { definition } = study;
  const height = definition.responses.find((response) => measuredSize(response)?.role === "height");
  const at = settingsOf(study, settings);
  if (height === undefined || at === undefined) return [];
  const chosen = selectLayers(study, set).coupons.filter(({ state }) => state === "logged");
  const { coupons } = soundCoupons({ definition, coupons: chosen });
  const measured = coupons.filter(({ results }) => ownValue(results, height.name) !== undefined);
  if (measured.length < FEWEST) return [];
  const predictor = predictorOf({ definition, coupons });
  if (predictor === undefined) return [];
  const { model, at: ask } = predictor;
  const r = model.latent.links.findIndex(({ response }) => response === height.name);
  if (r < 0) return [];
  const prediction = ask(at);
  const means = new Float64Array(model.latent.links.length);
  prediction.means(means);
  const sd = Math.sqrt(prediction.variance(r));
  const mm = (z: number): number =>
    convert(fromLinkScale(model.latent.links[r]!, means[r]! + z * sd), height.unit, "mm");
  const growth = mm(0);
  const layers = measured.flatMap(({ context, settings: run, blocks }) => {
    const said = Number(context.layer?.value ?? run.layer ?? blocks.layer);
    return Number.isInteger(said) && said > 0 ? [said] : [];
  });
  return [
    {
      set,
      coupons: measured.length,
      response: height.name,
      layer: layers.length === 0 ? USUAL_LAYER[set] : Math.round(median(layers)),
      growth,
      sd: Math.hypot((mm(1) - mm(-1)) / 2, CREST[set] * growth),
    },
  ];
}

/** A model of the coupons, made ready to be asked; none where they allow none. */
function predictorOf(data: StudyData) {
  try {
    const model = buildOutcomeModel(data, {});
    const predictor = makePredictor(model);
    return {
      model,
      at: (settings: Readonly<Record<string, number | string>>) => predictor.at(predictor.point(settings)),
    };
  } catch (error) {
    if (error instanceof BeadbenchError) return undefined;
    throw error;
  }
}

/** The factors' settings in the study's units; undefined where one is missing. */
function settingsOf(
  { definition }: Pick<StudyData, "definition">,
  settings: WallTask["with"]["settings"],
): Record<string, number | string> | undefined {
  const result: Record<string, number | string> = {};
  for (const { name, unit, kind } of definition.factors) {
    const found = ownValue(settings, name);
    if (found === undefined || kind === "category") return undefined;
    result[name] = convert(found.value, found.unit, unit);
  }
  return result;
}

/** Hints as the belief takes them. */
export const hintsOf = (hints: readonly CouponHint[]): GrowthBelief["hints"] =>
  hints.map(({ layer, growth, sd }) => ({ layer, growth, sd }));
