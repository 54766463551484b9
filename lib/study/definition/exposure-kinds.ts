/** How running is counted, and the unit each count is kept in. */
export const exposureUnits = {
  /** Arc starts. */
  starts: "1",
  layers: "1",
  /** Arc burning. */
  arc_time: "h",
  /** From switching on to switching off, dwell and pauses included. */
  machine_time: "h",
  /** Wire fed. */
  wire: "m",
  /** Shielding and purge gas let out. */
  gas: "L",
} as const satisfies Readonly<Record<string, string>>;

export type ExposureKind = keyof typeof exposureUnits;

export const exposureKinds = Object.keys(exposureUnits) as readonly ExposureKind[];

/** Whether running is counted under this name. */
export function isExposureKind(name: string): name is ExposureKind {
  return Object.hasOwn(exposureUnits, name);
}
