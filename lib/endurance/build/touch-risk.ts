import { normalCdf, normalQuantile } from "../../numeric/index.js";
import { type BuildPlan, isLevelled } from "./build-plan.js";

/** The chance that the stand-off drifts until the torch touches, by the plan's own bands. */
export interface TouchRisk {
  readonly chance: number;
  /** Layer in which it is largest; null where no band comes near. */
  readonly layer: number | null;
  /** Stand-off at which it touches, mm. */
  readonly at: number;
}

/** Share of the bands of a schedule. */
const BAND_LEVEL = 0.9;
/** mm at which the torch touches where the schedule does not say. Common practice, no source. */
const USUAL_TOUCH = 0.5;
/** Below this a touch is not worth a line. */
const NEGLIGIBLE = 1e-4;

/** Of a build without a plan of its stand-off. */
export const NO_TOUCH: TouchRisk = { chance: 0, layer: null, at: USUAL_TOUCH };

/**
 * Reads the bands as normal. Between two levellings a drift goes on from layer to layer: its worst layer counts. From one
 * levelling to the next it is taken to begin anew, which counts a growth misjudged in all of them more than once: the
 * careful side.
 *
 * @param from - layers finished
 */
export function touchRisk(plan: BuildPlan, from = 0): TouchRisk {
  const touch = plan.held?.touch ?? USUAL_TOUCH;
  const wide = 2 * normalQuantile((1 + BAND_LEVEL) / 2);
  let [clean, worst, inStretch] = [1, 0, 0];
  let worstLayer: number | null = null;
  for (const { layer, expected, low, high } of plan.standoff) {
    if (layer <= from) continue;
    if (isLevelled(plan, layer)) {
      clean *= 1 - inStretch;
      inStretch = 0;
    }
    const spread = (high - low) / wide;
    const chance = spread > 0 ? normalCdf((touch - expected) / spread) : Number(expected <= touch);
    inStretch = Math.max(inStretch, chance);
    if (chance > worst) [worst, worstLayer] = [chance, layer];
  }
  const chance = 1 - clean * (1 - inStretch);
  return { chance, layer: chance > NEGLIGIBLE ? worstLayer : null, at: touch };
}
