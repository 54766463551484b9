import type { Command } from "commander";
import { requireThat } from "../errors/index.js";
import { quantityIn } from "./options.js";

/** The path of one layer as options tell it, mm. */
export interface PathOptions {
  readonly length?: number;
  readonly ringDiameter?: number;
}

/** Adds the options that tell the path of one layer. */
export const withPathOptions = (command: Command): Command =>
  command
    .option("--length <length>", "length of a wall, the path of one layer", quantityIn("mm"))
    .option("--ring-diameter <length>", "diameter of a closed ring on its centreline", quantityIn("mm"));

/**
 * Path of one layer, mm; undefined where nothing tells it.
 *
 * @throws {BeadbenchError} `bad-argument` where both are told
 */
export function layerPath({ length, ringDiameter }: PathOptions): number | undefined {
  requireThat(
    length === undefined || ringDiameter === undefined,
    'give either --length, such as "120 mm", or --ring-diameter, not both',
  );
  return ringDiameter === undefined ? length : Math.PI * ringDiameter;
}
