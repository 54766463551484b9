import type { LayerReading } from "../../../lib/models/standoff/index.js";
import type { RandomStream } from "../../../lib/numeric/index.js";

/** A rig whose growth is h0 + kappa (s - 3) with random layers, read by a noisy gauge. */
export interface Rig {
  readonly slope: number;
  readonly layerSd: number;
  readonly gaugeSd: number;
  /** h0, mm at 3 mm of stand-off. */
  readonly growth: number;
  /** First stand-off, mm. */
  readonly start: number;
}

/** One step of the truth. */
export function nextStandoff(rig: Rig, standoff: number, rise: number, random: RandomStream): number {
  return standoff + rise - rig.growth - rig.slope * (standoff - 3) + rig.layerSd * random.normal();
}

/** A log of the first `layers` layers and the true stand-off before the last of them. */
export function simulateLog(
  rig: Rig,
  layers: number,
  rise: (layer: number) => number,
  random: RandomStream,
  station?: string,
): { readonly log: readonly LayerReading[]; readonly last: number } {
  const log: LayerReading[] = [];
  let standoff = rig.start;
  for (let layer = 1; layer <= layers; layer++) {
    if (layer > 1) standoff = nextStandoff(rig, standoff, rise(layer - 1), random);
    const reading = { layer, standoff: standoff + rig.gaugeSd * random.normal(), rise: rise(layer) };
    log.push(station === undefined ? reading : { ...reading, station });
  }
  return { log, last: standoff };
}
