import { requireNumber, requireThat } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { requireSetting } from "../handbook/index.js";
import { wireArea } from "./mass-balance.js";

/** Wire pushed in steps. */
export interface SteppedFeed {
  /** s_f, mm forward per step. */
  readonly step: number;
  /** T_f, s from step to step. */
  readonly period: number;
  /** s the forward move takes; at most the period. */
  readonly moveTime: number;
  /** mm pulled back per step. Default 0. */
  readonly retract?: number;
}

/** What a stepped feed gives. */
export interface SteppedFeedResult {
  /** Mean feed, mm/s. */
  readonly mean: number;
  /** Feed while moving, mm/s. */
  readonly peak: number;
  /** Share of the time the wire moves forward. */
  readonly duty: number;
  /** Metal per step, mm3. */
  readonly dropVolume: number;
  /** Diameter of a drop of that volume, mm. */
  readonly dropDiameter: number;
  /** Distance between drops along the bead, mm. */
  readonly dropPitch: number;
}

/**
 * Mean and peak feed, drop size and pitch of a stepped feed.
 *
 *     f = (s_f - r)/T_f, peak s_f/t_move, drop A_w (s_f - r), pitch v T_f
 *
 * @param wireDiameter - mm
 * @param travelSpeed - v, mm/s
 * @throws {BeadbenchError} when a move takes longer than its period, or more is pulled back than pushed
 * @example steppedFeed({ step: 3, period: 0.2, moveTime: 0.05 }, 1.2, 3).mean // => 15
 */
export function steppedFeed(feed: SteppedFeed, wireDiameter: number, travelSpeed: number): SteppedFeedResult {
  const retract = feed.retract ?? 0;
  requireNumber("feed step", feed.step, { above: 0, unit: "mm" });
  requireNumber("step period", feed.period, { above: 0, unit: "s" });
  requireNumber("time of a step's move", feed.moveTime, { above: 0, max: feed.period, unit: "s" });
  requireNumber("retract per step", retract, { min: 0, unit: "mm" });
  requireThat(
    retract < feed.step,
    `each step pushes ${settingDigits(feed.step)} mm and pulls ${settingDigits(retract)} mm back: no wire gets forward`,
  );
  requireSetting("travel_speed", travelSpeed);
  const net = feed.step - retract;
  const dropVolume = wireArea(wireDiameter) * net;
  return {
    mean: net / feed.period,
    peak: feed.step / feed.moveTime,
    duty: feed.moveTime / feed.period,
    dropVolume,
    dropDiameter: Math.cbrt((6 * dropVolume) / Math.PI),
    dropPitch: travelSpeed * feed.period,
  };
}

/**
 * Pulses of the power source per feed step: whole numbers keep step and pulse together.
 *
 * @param period - s from step to step
 * @param pulseFrequency - Hz
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example feedPulseRatio(0.2, 5) // => 1
 */
export function feedPulseRatio(period: number, pulseFrequency: number): number {
  requireNumber("step period", period, { above: 0, unit: "s" });
  return period * requireNumber("pulse frequency", pulseFrequency, { above: 0, unit: "Hz" });
}

/**
 * Step a stepper can really make: the nearest whole number of motor pulses.
 *
 * @param step - mm wanted
 * @param pulsesPerMillimetre - motor pulses per mm of wire
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example realStep(3, 13.4) // => 2.985
 */
export function realStep(step: number, pulsesPerMillimetre: number): number {
  requireNumber("feed step", step, { above: 0, unit: "mm" });
  requireNumber("pulses per mm", pulsesPerMillimetre, { above: 0 });
  return Math.max(1, Math.round(step * pulsesPerMillimetre)) / pulsesPerMillimetre;
}
