import type { LayerSchedule } from "../../endurance/index.js";
import type { Finding } from "../../errors/index.js";
import type { Base, Gas, Quantity } from "../../study/index.js";
import type { StartStop } from "./sequence.js";

/** The value of `schema` in a preset this version writes. Older ones are read too. */
export const PRESET_SCHEMA = "beadbench/preset/2";

/** A named value with its unit; a category has unit "1". */
export interface PresetSetting {
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
  /** Finest change the rig can set. */
  readonly step?: number;
  /** What coupons were run at: the least and the largest number, or the levels of a category. Absent where nothing tells. */
  readonly tried?: readonly (number | string)[];
  /** Why the preset is not to be trusted; absent in one that is proven as far as it was asked. */
  readonly mark?: string;
}

/** How far a setting may move. */
export interface PresetRange {
  readonly name: string;
  readonly unit: string;
  /** While all others move within theirs. */
  readonly low: number | string;
  readonly high: number | string;
  /** While all others stand still; absent in presets of before this was written down. */
  readonly alone?: { readonly low: number | string; readonly high: number | string };
  readonly mark?: string;
}

/** Median and 95 % interval of the next coupon, with the chance of meeting the response's specification. */
export interface PresetPrediction {
  readonly name: string;
  readonly unit: string;
  readonly median: number;
  readonly lower: number;
  readonly upper: number;
  readonly chance: number;
  readonly mark?: string;
}

/** A limit of the study where the preset stands. */
export interface PresetLimit {
  readonly name: string;
  readonly unit: string;
  readonly value: number;
  readonly min?: number;
  readonly max?: number;
  /** Whether one step of one setting breaks it. */
  readonly binds: boolean;
}

/** What a preset rests on. */
export interface PresetBasis {
  readonly coupons: number;
  /** Hash of the journal's last entry: the record this preset was made from. */
  readonly journal?: string;
  readonly seed: number;
  /** Which model foretold it, and of which version of the program. */
  readonly model: string;
}

/** A layer schedule as a preset carries it: what the rig does, layer by layer. */
export type PresetSchedule = Pick<
  LayerSchedule,
  "layers" | "path" | "settings" | "interpass" | "relevelEvery"
>;

/** Recommended settings for a rig's program, what they will give, and how far that can be relied on. */
export interface Preset {
  readonly schema: typeof PRESET_SCHEMA;
  readonly study: string;
  /** ISO 4063 process number. */
  readonly process: string;
  /** Absent where no wire is fed. */
  readonly wire?: {
    readonly classification: string;
    readonly diameter: Quantity;
    readonly material?: string;
  };
  readonly base?: Base;
  readonly gas?: Gas;
  /** Name of the rig. */
  readonly rig?: string;
  /** RFC 3339. */
  readonly made: string;
  /** When to look at it again at the latest, as a date, and what calls for it before. */
  readonly review: { readonly by: string; readonly sooner: string };
  readonly basis: PresetBasis;
  readonly settings: readonly PresetSetting[];
  /** Settings the rig held constant while the coupons were run. */
  readonly held: readonly PresetSetting[];
  /** How arc, gas and wire begin and end. */
  readonly sequence: StartStop;
  /** Energy per length and the like, at these settings. */
  readonly derived: readonly { readonly name: string; readonly value: number; readonly unit: string }[];
  readonly predicted: readonly PresetPrediction[];
  /** Chance of a good verdict, by check. */
  readonly checks: readonly { readonly name: string; readonly chance: number }[];
  /** Chance that a coupon conforms in everything, and the 90 % interval of what the coupons leave open. */
  readonly chance: { readonly value: number; readonly lower: number; readonly upper: number };
  /**
   * Settings may move inside these ranges, all at once, with at least `reached` chance. They were grown at `level`, which is lower
   * than what was asked where no setting reaches that.
   */
  readonly window: {
    readonly asked: number;
    readonly level: number;
    readonly reached: number;
    readonly ranges: readonly PresetRange[];
  };
  readonly limits: readonly PresetLimit[];
  /** Layers of a wall or ring, where `wall` made a schedule. */
  readonly schedule?: PresetSchedule;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
}
