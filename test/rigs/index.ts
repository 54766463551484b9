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
];

/** Rigs first run when the engine was finished. */
export const heldOutRigs: readonly RigFormulas[] = [plasmaInconel, slackFeeder];
