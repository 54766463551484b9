import type { Axis } from "../design/index.js";
import { ownValue } from "../errors/index.js";
import type { OutcomeModel, Settings } from "../models/index.js";
import { makeChance } from "./chance.js";
import { type Conformance, conformanceAt } from "./conformance.js";
import { type BrokenLimit, makeGrid } from "./grid.js";
import { type ForeseenResponse, foreseeWith } from "./predict-setting.js";

/** What a measured response will be at a setting. */
export interface PredictedResponse extends ForeseenResponse {
  /** Chance of being within specification. */
  readonly chance: number;
}

/** What a model says of one setting. */
export interface ExploredSetting {
  readonly responses: readonly PredictedResponse[];
  readonly conformance: Conformance;
}

/** A model made ready to be asked about one setting after another. */
export interface Explorer {
  /** The settings the rig can be set to, factor by factor. */
  readonly axes: readonly Axis[];
  readonly at: (settings: Settings) => ExploredSetting;
  /** The chance to conform alone; one below 1e-4 is only known to be below. */
  readonly chance: (settings: Settings) => number;
  readonly broken: (settings: Settings) => readonly BrokenLimit[];
}

/**
 * Makes a model ready to be walked through. Plain functions of plain data: a page that holds the model as JSON gets the
 * library's own numbers from it.
 *
 * Asking about a setting throws {@link BeadbenchError} `bad-argument` when one is missing.
 */
export function makeExplorer(model: OutcomeModel): Explorer {
  const chances = makeChance(model);
  const grid = makeGrid(model.definition, model.coordinates);
  return {
    axes: grid.axes,
    at(settings) {
      const conformance = conformanceAt(model, chances, chances.predictor.point(settings));
      return {
        responses: foreseeWith(model, chances, settings).responses.map((foreseen) => ({
          ...foreseen,
          chance: ownValue(conformance.perResponse, foreseen.response)!,
        })),
        conformance,
      };
    },
    chance: (settings) => chances.chance(chances.predictor.point(settings), 1e-4),
    broken: grid.broken,
  };
}
