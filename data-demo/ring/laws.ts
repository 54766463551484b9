import type { RandomStream } from "../../lib/numeric/index.js";

/** Arc path of a layer: a ring of 80 mm on its centreline. */
const PATH = 80 * Math.PI;
/** mm/min */
const TRAVEL = 150;
export const LAYER_ARC_MINUTES = PATH / TRAVEL;
/** m of wire in a layer, fed at 1 m/min. */
export const LAYER_WIRE = LAYER_ARC_MINUTES;
/** L of argon in a layer at 11 L/min, with 12 s before and after the arc. */
export const LAYER_GAS = 11 * (LAYER_ARC_MINUTES + 0.2);
export const STANDOFF = 3;
/** mm at which the tungsten is in the pool. */
export const TOUCH = 0.7;
/** L of water volume of the cylinder; gas is told from its pressure. */
export const CYLINDER = 20;

/** What ages on the rig, and what was done to it. */
export interface Rig {
  /** Firmware 2 pulls the wire back before the arc goes out, and counts its steps in a longer word. */
  firmware: 1 | 2;
  /** h of arc since it was ground. */
  tungsten: number;
  /** L of gas left. */
  gas: number;
  /** m left on the spool, and whether it was wound badly. */
  wire: number;
  tangled: boolean;
  /** How much the wire caught of late: each catch makes the next likelier, and is forgotten in a few layers. */
  caught: number;
  /** h since the controller was switched on, and at which it loses its position. */
  on: number;
  lost: number;
  /** Heat of the source, as a share of what trips it at 20 degC, and how warm the shop is today. */
  source: number;
  warmth: number;
  /** Whether somebody has made it a habit to read the gauge of the cylinder. */
  readsGauge: boolean;
}

/** Height of a layer, mm: tall on the cold base, lower as heat builds up, a little lower where the arc is long. */
export function layerHeight(layer: number, standoff: number, stream: RandomStream): number {
  const cold = 0.3 * Math.exp(-(layer - 1) / 2.5);
  const hot = 0.06 * (1 - Math.exp(-layer / 45));
  return 1.32 * (1 + cold - hot) * (1 - 0.01 * (standoff - STANDOFF)) * (1 + 0.02 * stream.normal());
}

/** degC of the top before a layer. */
export function topTemperature(layer: number, stream: RandomStream): number {
  return Math.round(45 + 205 * (1 - Math.exp(-layer / 28)) + 6 * stream.normal());
}

/** Chance that the wire freezes into the crater when a layer ends: in bursts, and worse from a bad spool. */
export function stuckChance({ firmware, tangled, caught }: Rig): number {
  return Math.min(0.6, (firmware === 1 ? 0.022 : 0.004) * (tangled ? 5 : 1) * (1 + 2.5 * caught));
}

/** Chance that the arc does not start or goes out: little at first, much once the tip is worn round. */
export function arcLostChance({ tungsten }: Rig): number {
  return 0.002 + 0.25 / (1 + Math.exp(-(tungsten - 3.8) / 0.2));
}

/** Chance that nobody sees the gauge fall to the end of the cylinder. */
export const overlooksGauge = ({ readsGauge }: Rig): number => (readsGauge ? 0.02 : 0.7);

/** Heat of the source after minutes of arc and of waiting. */
export function sourceHeat(heat: number, arc: number, waiting: number): number {
  const rise = 1 - Math.exp(-arc / 25);
  return (heat + (1.45 - heat) * rise) * Math.exp(-waiting / 40);
}

/** h from switching on until steps are lost: seldom early, nearly sure late; the longer word lasts ten times as long. */
export function hoursToLoss(firmware: Rig["firmware"], stream: RandomStream): number {
  return (firmware === 1 ? 6 : 60) * Math.exp(0.4 * stream.normal());
}

/** Minutes that a mishap costs: most are short, some are long. */
export function minutesLost(middle: number, stream: RandomStream): number {
  return Math.max(1, Math.round(middle * Math.exp(0.5 * stream.normal())));
}
