import type { Preset } from "../preset/index.js";

/** A preset written in some form, and what of it that form could not carry; the text says the same in itself. */
export interface WrittenPreset {
  readonly text: string;
  readonly lost: readonly string[];
}

/** What no table of numbers has a place for. */
export function lostInTables(preset: Preset): readonly string[] {
  return [
    ...(preset.settings.some(({ tried }) => tried !== undefined) ? ["what every setting was tried at"] : []),
    ...(preset.window.ranges.some(({ alone }) => alone !== undefined)
      ? ["ranges of settings moved one at a time"]
      : []),
    ...(preset.schedule === undefined
      ? []
      : ["bands of stand-off and growth, temperatures and path of the layer schedule"]),
  ];
}
