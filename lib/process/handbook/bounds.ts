import { BeadbenchError } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { withUnit } from "../../units/index.js";

/** Between what a setting of a rig lies. */
export interface SettingBounds {
  readonly label: string;
  readonly unit: string;
  readonly lower: number;
  /** Whether the lower bound itself is allowed. */
  readonly atLower: boolean;
  readonly upper: number;
  /** What is usual, and the slip that most often leads out of the bounds. */
  readonly hint: string;
}

/** What no deposition rig does: beyond these a number is a slip of unit, sign or decimal point. */
export const bounds = {
  current: {
    label: "current",
    unit: "A",
    lower: 0,
    atLower: false,
    upper: 1500,
    hint: "wire-arc deposition runs at 20 to 400 A",
  },
  arc_voltage: {
    label: "arc voltage",
    unit: "V",
    lower: 0,
    atLower: false,
    upper: 80,
    hint: "a burning arc shows 7 to 45 V; more is an open-circuit or mains reading, or a slipped decimal point",
  },
  power: {
    label: "beam power",
    unit: "W",
    lower: 0,
    atLower: false,
    upper: 60000,
    hint: "wire deposition with a beam runs at 200 to 10000 W; a value in kW must be multiplied by 1000",
  },
  travel_speed: {
    label: "travel speed",
    unit: "mm/s",
    lower: 0,
    atLower: false,
    upper: 250,
    hint: "1 to 30 mm/s is usual; a value in mm/min must be divided by 60, and a direction is no sign of the speed",
  },
  wire_feed_speed: {
    label: "wire feed speed",
    unit: "mm/s",
    lower: 0,
    atLower: false,
    upper: 600,
    hint: "5 to 300 mm/s is usual; a value in m/min must be multiplied by 16.667, one in in/min by 0.42333",
  },
  wire_diameter: {
    label: "wire diameter",
    unit: "mm",
    lower: 0.3,
    atLower: true,
    upper: 6.4,
    hint: "deposition wires are 0.6 to 4 mm; check the decimal point (12 for 1.2) and the unit (0.045 is inches: 1.143 mm)",
  },
  standoff: {
    label: "stand-off",
    unit: "mm",
    lower: 0,
    atLower: true,
    upper: 60,
    hint: "1 to 5 mm for a tungsten, 8 to 25 mm for a contact tip",
  },
  stickout: {
    label: "electrode extension",
    unit: "mm",
    lower: 0,
    atLower: true,
    upper: 60,
    hint: "8 to 25 mm is usual, from the end of the contact tip to the arc",
  },
  contact_tip_distance: {
    label: "contact-tip distance",
    unit: "mm",
    lower: 0,
    atLower: false,
    upper: 60,
    hint: "10 to 30 mm is usual, from the end of the contact tip to the work",
  },
  burn_back_time: {
    label: "burn-back time",
    unit: "s",
    lower: 0,
    atLower: true,
    upper: 5,
    hint: "0.02 to 0.3 s is usual; a value in ms must be divided by 1000",
  },
  retract_delay: {
    label: "retract delay",
    unit: "s",
    lower: 0,
    atLower: true,
    upper: 60,
    hint: "0 to 3 s is usual; a value in ms must be divided by 1000",
  },
  gas_flow: {
    label: "gas flow",
    unit: "L/min",
    lower: 0,
    atLower: false,
    upper: 100,
    hint: "a torch takes 5 to 25 L/min; a value in cfh must be multiplied by 0.472",
  },
  temperature: {
    label: "temperature",
    unit: "degC",
    lower: -60,
    atLower: true,
    upper: 3500,
    hint: "give degrees Celsius, not Fahrenheit or kelvin",
  },
} as const satisfies Readonly<Record<string, SettingBounds>>;

/** Settings with bounds that no rig leaves. */
export type BoundedSetting = keyof typeof bounds;

/**
 * Whether a name is one of a setting with bounds, which {@link requireSetting} takes.
 *
 * @example isBoundedSetting("current") // => true
 */
export function isBoundedSetting(name: string): name is BoundedSetting {
  return Object.hasOwn(bounds, name);
}

/** Unit in which {@link requireSetting} wants a setting. */
export const settingUnit = (name: BoundedSetting): string => bounds[name].unit;

/** Whether a rig could run a setting, in the library's own units. */
export function isPossibleSetting(name: BoundedSetting, value: number): boolean {
  const { lower, atLower, upper }: SettingBounds = bounds[name];
  return (atLower ? value >= lower : value > lower) && value <= upper;
}

/**
 * Returns the value of a setting when a rig could run it, in the library's own units.
 *
 * @throws {BeadbenchError} `bad-argument`, in a sentence that names the usual range and the likely slip
 */
export function requireSetting(name: BoundedSetting, value: number): number {
  if (isPossibleSetting(name, value)) return value;
  const bound: SettingBounds = bounds[name];
  const rule = `${bound.atLower ? "at least" : "above"} ${bound.lower} and at most ${withUnit(String(bound.upper), bound.unit)}`;
  const got = Number.isFinite(value) ? settingDigits(value) : String(value);
  throw new BeadbenchError(
    "bad-argument",
    `${bound.label} must be ${rule}, got ${withUnit(got, bound.unit)}; ${bound.hint}`,
    { setting: name, value },
  );
}
