import { formatPreset, markedPreset, type Preset, rigCautions } from "../preset/index.js";
import type { WrittenPreset } from "./lost.js";

/** A preset as JSON, with nothing lost; one in doubt is marked beside every number, whatever a hand took away. */
export function presetJson(preset: Preset): WrittenPreset {
  return { text: formatPreset({ ...markedPreset(preset), cautions: rigCautions(preset) }), lost: [] };
}
