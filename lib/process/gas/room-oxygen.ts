import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";

/** Oxygen in air, %. */
const AIR = 20.95;
/** Least oxygen for entry, %: EIGA Doc 44/18. */
const ENTRY = 19.5;

/**
 * Oxygen a room settles at under a steady release of argon, mixed through.
 *
 *     20.95 % (1 - Q_Ar/(Q_Ar + Q_vent))
 *
 * Argon is heavier than air and pools low: at the floor it is worse than this.
 *
 * @param release - L/min
 * @param room - m3
 * @param airChanges - per hour
 * @returns %
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example roomOxygen(10, 30, 0.5) // => 20.14
 */
export function roomOxygen(release: number, room: number, airChanges: number): number {
  requireNumber("gas released", release, { min: 0, unit: "L/min" });
  requireNumber("room volume", room, { above: 0, unit: "m3" });
  requireNumber("air changes per hour", airChanges, { above: 0 });
  const argon = release * 0.06;
  return AIR * (1 - argon / (argon + room * airChanges));
}

/**
 * Oxygen in a room after a whole cylinder has emptied into it, mixed through and displacing air.
 *
 *     20.95 % exp(-V_gas/V_room)
 *
 * @param gas - m3
 * @param room - m3
 * @returns %
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example roomOxygenAfterLoss(10.7, 30) // => 14.67
 */
export function roomOxygenAfterLoss(gas: number, room: number): number {
  requireNumber("gas lost", gas, { min: 0, unit: "m3" });
  requireNumber("room volume", room, { above: 0, unit: "m3" });
  return AIR * Math.exp(-gas / room);
}

/**
 * A finding when oxygen may fall under the least for entry. No finding is no clearance: that takes a fixed
 * oxygen alarm in the room.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source EIGA Doc 44/18
 * @example checkRoomOxygen(20.1) // => []
 */
export function checkRoomOxygen(oxygen: number): readonly Finding[] {
  requireNumber("room oxygen", oxygen, { min: 0, max: 25, unit: "%" });
  if (oxygen >= ENTRY) return [];
  return [
    {
      code: "room-oxygen-low",
      severity: "error",
      message: `room air may fall to ${fixed(oxygen, 1)} % oxygen; entry needs ${ENTRY} %, and one or two breaths of argon can kill`,
      advice: "stop and check ventilation; fit a fixed oxygen alarm; store cylinders outdoors",
    },
  ];
}
