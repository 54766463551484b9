import { processFacts, processOf } from "../../process/index.js";

const cautionsWith = (radiation: string): readonly string[] => [
  "These settings are estimates from coupons on one rig. They permit nothing: local codes, the makers' manuals and licensed practice come first (for example ANSI Z49.1, EN 60974-9).",
  radiation,
  "Fume, above all from stainless and nickel wire, must be extracted at the arc and when an enclosure is opened.",
  "Inert gas asphyxiates without warning: oxygen alarm in the room, exhaust outdoors, never a head in the enclosure.",
  "Open-circuit voltage and high-frequency start can kill: dry gloves, one bonded return, fixed wiring by a licensed electrician.",
  "Hot metal and water: the base stays hot for long; a flow interlock must stop the arc; never open a hot cooling circuit.",
  "Fire: clear combustibles, keep a fire watch, and leave no arc unattended on the word of a program.",
];

/**
 * Cautions printed with every preset and report of a process; they are never to be left out.
 *
 * @param process - ISO 4063 number, such as "141"
 * @throws {BeadbenchError} for a process that is not known, naming those that are
 */
export function cautionsFor(process: string): readonly string[] {
  return cautionsWith(processFacts(processOf(process)).caution);
}

/** What is said with everything that makes a machine move or switch. */
export const MOTION_CAUTION =
  "A program moves and switches without looking. Run it dry first: arc off, gas shut, wire back, nobody within reach, a hand on the stop; never let it run unattended.";

/** The cautions of a preset for a form that goes to a machine: its own, and those of its process that it may have lost. */
export function rigCautions({
  process,
  cautions,
}: {
  readonly process: string;
  readonly cautions: readonly string[];
}): readonly string[] {
  return [...new Set([...cautions, ...cautionsFor(process), MOTION_CAUTION])];
}
