import { ownValue } from "../../errors/index.js";

/** Other words of the trade for names used here, with the name. */
const aliases: Readonly<Record<string, string>> = {
  wfs: "wire_feed_speed",
  wire_feed: "wire_feed_speed",
  wire_feed_rate: "wire_feed_speed",
  feed_rate_wire: "wire_feed_speed",
  wire_speed: "wire_feed_speed",
  ctwd: "contact_tip_distance",
  tip_distance: "contact_tip_distance",
  contact_tip_to_work_distance: "contact_tip_distance",
  contact_tube_distance: "contact_tip_distance",
  travel: "travel_speed",
  welding_speed: "travel_speed",
  weld_speed: "travel_speed",
  torch_speed: "travel_speed",
  ts: "travel_speed",
  amps: "current",
  amperage: "current",
  welding_current: "current",
  arc_current: "current",
  volts: "arc_voltage",
  voltage: "arc_voltage",
  welding_voltage: "arc_voltage",
  stick_out: "stickout",
  wire_extension: "stickout",
  electrode_extension: "stickout",
  eso: "stickout",
  stand_off: "standoff",
  gas_flow_rate: "gas_flow",
  shielding_gas_flow: "gas_flow",
  interpass: "interpass_temperature",
  interpass_temp: "interpass_temperature",
  laser_power: "power",
  beam_power: "power",
  notes: "note",
  remark: "note",
  remarks: "note",
  comment: "note",
  comments: "note",
};

/** The name used here for a word of the trade, such as `wfs`; the word itself where it is no other word for one. */
export function tradeName(word: string): string {
  return ownValue(aliases, word) ?? word;
}

/** Endings of names that are set, although what they end in is often measured: judged before {@link measured}. */
const set: readonly RegExp[] = [
  /(^|_)(torch|gun|nozzle|travel|work|push|drag|lead|lag|tilt|lean|tungsten|electrode|wire|feed(ing)?|inclination|grind|tip)_angle$/,
  /(^|_)(torch|nozzle|arc|gun|cup|layer|step|slice|start)_(height|length|distance|gap)$/,
  /(^|_)(weave|weaving|oscillation|pulse|hatch|slice|overlap|programmed|nominal|set|target)_(width|height|amplitude|depth|area)$/,
  /(^|_)(current|voltage|power|speed|feed|flow|frequency|dwell|standoff|stickout|distance|pressure|polarity|inductance|trim|pinch|overlap|spacing|pitch|diameter|thickness|gap|time|temperature)$/,
];

/** Endings of names that are measured on a bead. */
const measured =
  /(^|_)(width|height|depth|penetration|reinforcement|dilution|area|angle|fullness|waviness|roughness|ra|rz|hardness|mass|weight_gain|grade|spatter|porosity|pores|undercut|convexity|distortion|crack_length|leg|throat|strength|elongation|aspect_ratio|oxide|colour|wetting)$/;

/** What a name says of its column: something set, something measured, or nothing. */
export function roleOfWord(name: string): "setting" | "result" | undefined {
  if (set.some((pattern) => pattern.test(name))) return "setting";
  return measured.test(name) ? "result" : undefined;
}

/** What is wrong with a bead, as single words or as endings of several. */
const defect =
  /(^|_)(spatters?|porosity|pores?|cracks?|cracking|cracked|undercuts?|undercutting|burn_?through|blow_?holes?|voids?|holes?|humping|humps?|balling|inclusions?|slag|oxidation|oxidi[sz]ed|discolou?ration|discolou?red|lack_of_fusion|incomplete_fusion|cold_laps?|overlaps?|stubbing|sticking|stuck|burn_?back|delamination|warping|warped|sagging|distortion|contamination|defects?|defective|flaws?|faults?|failures?|failed|rejects?|rejected|leaks?|arc_loss(es)?|arc_out|misfires?)$/;
/** What turns such a word into its contrary: `no_cracks`. */
const without = /(^|_)(no|not|non|without|free_(of|from))_/;

/**
 * Whether a name says what is wrong with a bead, so that a yes under it is no praise.
 *
 * @example isDefectName("edge_undercut") // => true
 */
export function isDefectName(name: string): boolean {
  return defect.test(name) && !without.test(name);
}

/** What turns an amount into a change of it, which has either sign. */
const change = /(^|_)(change|difference|error|deviation|offset|drift|shift|trim|correction)(_|$)/;

/**
 * Whether a setting of this name is an amount, which cannot be below 0.
 *
 * @example isAmountName("pulse_current") // => true
 */
export function isAmountName(name: string): boolean {
  return (
    /(^|_)(current|voltage|power|speed|flow|frequency|dwell|standoff|stickout|distance|diameter|thickness|layer_height)$/.test(
      name,
    ) && !change.test(name)
  );
}

/** Whether a result of this name is a size, which cannot be below 0. */
export function isSizeName(name: string): boolean {
  return (
    /(^|_)(width|height|reinforcement|penetration|area|dilution|roughness|mass|hardness)$/.test(name) &&
    !change.test(name)
  );
}
