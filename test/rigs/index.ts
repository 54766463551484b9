import { magWall } from "./mag-wall.js";
import { migStainless } from "./mig-stainless.js";
import { plasmaInconel } from "./plasma-inconel.js";
import type { RigFormulas } from "./rig.js";
import { slackFeeder } from "./slack-feeder.js";
import { tigAluminium } from "./tig-aluminium.js";
import { tigOdd } from "./tig-odd.js";
import { tigThinSheet } from "./tig-thin-sheet.js";
import { tigWearRing } from "./tig-wear-ring.js";

/** Rigs used while the engine was developed. */
export const developmentRigs: readonly RigFormulas[] = [
  tigWearRing,
  tigThinSheet,
  magWall,
  tigAluminium,
  tigOdd,
  migStainless,
  slackFeeder,
];

/**
 * Run when the engine was finished, and never looked into. A second one, slackFeeder, showed at its first run
 * that soft failures were taken for sharp ones; the prior was widened, and it is no longer held out.
 */
export const heldOutRigs: readonly RigFormulas[] = [plasmaInconel];
