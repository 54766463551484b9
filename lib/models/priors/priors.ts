import type { NumberBounds } from "../../errors/index.js";
import { usualFullness } from "../../process/bead/index.js";

/** A number the outcome model believes before any coupon; study.json may put another in its place. */
export interface Prior {
  readonly value: number;
  readonly unit: string;
  readonly meaning: string;
  readonly source: string;
  /** What a value put in its place must keep to. */
  readonly bounds: NumberBounds;
}

const HABIT = "common practice, no source";
const MEMORY = "common practice and memory, no source";

const of =
  (bounds: NumberBounds) =>
  // biome-ignore lint/complexity/useMaxParams: one row of the table below
  (value: number, meaning: string, source = HABIT, unit = "1"): Prior => ({
    value,
    unit,
    meaning,
    source,
    bounds,
  });
const free = of({});
const positive = of({ above: 0 });
const share = of({ above: 0, below: 1 });
/** A standard deviation: of a logarithm, unless its meaning says otherwise. */
const sd = positive;

const law = (what: string, of: string): string =>
  `exponent of ${of} in the power law of ${what}; the law of moving point and line sources (Rosenthal 1946) bounds those of current and travel speed`;
const lawSd = (what: string, of: string): string => `doubt about the exponent of ${of} in ${what}`;
const melted = "Rosenthal 1946 bounds it; the value is common practice, no source";

/**
 * Every number that the model of dimensions and failures believes before any coupon. "ln" stands for the natural
 * logarithm, so a standard deviation of 0.1 is about 10 %. Names serve under `priors` in study.json.
 */
export const priors = {
  // Width.
  width_sd: sd(0.4, "doubt about ln width in the middle of the factor ranges, which an energy balance gives"),
  width_scatter: sd(0.042, "median scatter of ln width from coupon to coupon"),
  width_departure: sd(0.08, "median departure of ln width from its power law"),
  width_other_slope_sd: sd(0.15, "doubt about what a setting without an exponent does to ln width"),
  width_per_current: free(0.65, law("width", "current"), melted),
  width_per_voltage: free(0.5, law("width", "arc voltage")),
  width_per_travel: free(-0.45, law("width", "travel speed"), melted),
  width_per_feed: free(0.1, law("width", "wire feed")),
  width_per_standoff: free(0.1, law("width", "the distance from torch to work")),
  width_per_current_sd: sd(0.25, lawSd("width", "current")),
  width_per_voltage_sd: sd(0.4, lawSd("width", "arc voltage")),
  width_per_travel_sd: sd(0.2, lawSd("width", "travel speed")),
  width_per_feed_sd: sd(0.2, lawSd("width", "wire feed")),
  width_per_standoff_sd: sd(0.25, lawSd("width", "the distance from torch to work")),
  // Width where the feed of a consumable electrode sets the current.
  fed_width_per_current: free(0, law("width where the feed sets the current", "current")),
  fed_width_per_voltage: free(0.6, law("width where the feed sets the current", "arc voltage")),
  fed_width_per_travel: free(-0.45, law("width where the feed sets the current", "travel speed"), melted),
  fed_width_per_feed: free(0.45, law("width where the feed sets the current", "wire feed")),
  fed_width_per_standoff: free(0, law("width where the feed sets the current", "the distance to work")),
  pool_edge: free(1420, "temperature at which a pool of steel or nickel ends", MEMORY, "degC"),
  light_pool_edge: free(630, "temperature at which a pool of aluminium ends", MEMORY, "degC"),
  start_temperature: free(20, "temperature of the base before the pass", HABIT, "degC"),

  // Fullness A / (w h), which makes height of width.
  bead_fullness: positive(
    usualFullness.bead.value.value,
    "fullness of beads",
    usualFullness.bead.value.source,
  ),
  bead_fullness_sd: sd(usualFullness.bead.logSd, "doubt about ln fullness of beads"),
  wall_fullness: positive(
    usualFullness.wall.value.value,
    "fullness of walls",
    usualFullness.wall.value.source,
  ),
  wall_fullness_sd: sd(usualFullness.wall.logSd, "doubt about ln fullness of walls"),
  fullness_scatter: sd(0.056, "median scatter of ln fullness from coupon to coupon"),
  fullness_departure: sd(0.05, "median departure of ln fullness from its power law"),
  fullness_other_slope_sd: sd(0.1, "what a setting without an exponent may do to ln fullness"),
  fullness_per_current_sd: sd(0.12, lawSd("fullness, expected to be 0", "current")),
  fullness_per_voltage_sd: sd(0.15, lawSd("fullness, expected to be 0", "arc voltage")),
  fullness_per_travel_sd: sd(0.12, lawSd("fullness, expected to be 0", "travel speed")),
  fullness_per_feed_sd: sd(0.12, lawSd("fullness, expected to be 0", "wire feed")),
  fullness_per_standoff_sd: sd(0.12, lawSd("fullness, expected to be 0", "the distance from torch to work")),
  lone_height_sd: sd(0.42, "doubt about ln (width x fullness) where height is measured and width is not"),
  lone_height_scatter: sd(0.05, "median scatter of a height measured without its width"),
  lone_height_departure: sd(0.08, "median departure of a height measured without its width"),
  metal_kept_sd: sd(0.1, "doubt about ln of the measured section over the metal fed"),
  metal_kept_scatter: sd(0.045, "median scatter of a measured section"),
  metal_kept_departure: sd(0.05, "median departure of a measured section from the metal fed"),

  // Penetration, and responses without physics behind them.
  penetration_per_current: free(1.1, law("penetration", "current"), melted),
  penetration_per_voltage: free(-0.3, law("penetration", "arc voltage")),
  penetration_per_travel: free(-0.4, law("penetration", "travel speed"), melted),
  penetration_per_feed: free(-0.2, law("penetration", "wire feed")),
  penetration_per_standoff: free(-0.1, law("penetration", "the distance from torch to work")),
  penetration_per_current_sd: sd(0.4, lawSd("penetration", "current")),
  penetration_per_voltage_sd: sd(0.6, lawSd("penetration", "arc voltage")),
  penetration_per_travel_sd: sd(0.3, lawSd("penetration", "travel speed")),
  penetration_per_feed_sd: sd(0.3, lawSd("penetration", "wire feed")),
  penetration_per_standoff_sd: sd(0.4, lawSd("penetration", "the distance from torch to work")),
  penetration_other_slope_sd: sd(0.3, "doubt about what a setting without an exponent does to penetration"),
  log_response_sd: sd(0.7, 'doubt about any other response of scale "log" in the middle of the ranges'),
  log_response_slope_sd: sd(0.5, "what half a factor range may do to such a response"),
  log_response_scatter: sd(0.06, "median scatter of such a response"),
  log_response_departure: sd(0.1, "median departure of such a response from its power law"),
  linear_response_sd: sd(3, 'doubt about any other response of scale "linear", in half specification widths'),
  linear_response_slope_sd: sd(2, "what half a factor range may do to such a response, in the same measure"),
  linear_response_scatter: sd(0.4, "median scatter of such a response, in the same measure"),
  linear_response_departure: sd(0.5, "median departure of such a response, in the same measure"),

  // Scatter and departures of every response.
  scatter_spread: sd(0.35, "doubt about ln of every scatter"),
  departure_spread: sd(0.6, "doubt about ln of every departure"),
  block_share: positive(0.25, "median shift from block to block, as a share of the scatter"),
  block_spread: sd(1.1, "doubt about ln of the shift from block to block"),
  trend_share: positive(
    0.3,
    "median change from the first to the last coupon of a block, as a share of the scatter",
  ),
  trend_spread: sd(0.7, "doubt about ln of that change"),
  scatter_coupons: positive(10, "coupons that the expected scatter of responses counts for"),
  reach_log: positive(0.9, "how far a departure reaches along a physical setting, in logarithms"),
  reach_linear: positive(1.5, "how far a departure reaches along any other setting, in half ranges"),
  reach_level: positive(1.2, "how far a departure reaches between levels of a category"),

  // An older study.
  older_shift_share: positive(3, "how far an older study may lie off, in multiples of the scatter (sd)"),
  older_verdict_weight: share(0.5, "how much an older verdict counts before there is a new one"),

  // A setting that ran before, outside the record.
  known_wrong: share(0.2, "chance that such a run was not what it is remembered for"),
  known_reading_sd: sd(0.05, "error of a remembered reading, as a share of it"),
  known_setting_sd: sd(0.03, "how far off a remembered setting lies, per logarithm or in half ranges"),

  // Failures: quantities beyond thresholds.
  margin_showing: share(
    0.35,
    "chance that a way to fail lies nearer than its threshold, in one check or another; with it 8 to 24 % of a study's settings were found to survive before any coupon, on 47 rigs",
  ),
  margin_slope_sd: sd(0.2, "doubt about a failing quantity's slope, per logarithm or per half range"),
  margin_threshold: free(0.65, "where a threshold nobody knows is sought, in half ranges from the middle"),
  margin_threshold_sd: sd(0.5, "doubt about such a threshold, in half ranges"),
  wire_share_most: positive(0.27, "share of arc power for the wire above which wire stubs", MEMORY),
  wire_share_most_sd: sd(0.35, "doubt about its ln", MEMORY),
  wire_share_least: positive(0.06, "share of arc power for the wire below which the pool runs away", MEMORY),
  wire_share_least_sd: sd(0.5, "doubt about its ln", MEMORY),
  slenderness_most: positive(0.62, "height over width above which a bead balls", MEMORY),
  slenderness_most_sd: sd(0.35, "doubt about its ln", MEMORY),
  melting_current_exponent: free(1.1, "exponent of current in the feed that a consumable electrode melts"),
  feed_voltage_exponent: free(0.4, "exponent of current in the voltage that suits a feed"),
  boundary_softness: positive(0.03, "median softness of a failure boundary, in ln of the quantity"),
  boundary_softness_spread: sd(0.75, "doubt about ln of the softness"),
  boundary_outward: positive(3, "how many times further out than in a threshold may lie than expected"),
  lapse: share(0.01, "median share of coupons that fail for no reason"),
  lapse_spread: sd(0.7, "doubt about ln of that share"),
  lapse_most: share(0.3, "that share is never more than this"),
  verdict_luck: of({ above: 0, below: 0.5 })(
    0.01,
    "median chance that a verdict is the opposite of what it should be",
  ),
  verdict_luck_spread: sd(0.8, "doubt about ln of that chance"),
  verdict_luck_most: of({ above: 0, below: 0.5 })(0.2, "that chance is never more than this"),

  // Records that are not what was run.
  reading_slip: share(0.02, "share of readings that are slips of the pen"),
  other_setting: share(0.02, "share of coupons run at another setting than recorded"),
  other_setting_sd: sd(0.2, "how far off such a setting lies, per logarithm or in half ranges"),

  // Settings that neither the factors nor rig.settings tell.
  electrode_extension: positive(12, "extension of a consumable electrode", HABIT, "mm"),
  arc_current: positive(150, "current of an arc whose current is not known", HABIT, "A"),
  beam_power: positive(2000, "power of a beam whose power is not known", HABIT, "W"),
} as const satisfies Readonly<Record<string, Prior>>;

/** Name of a prior. */
export type PriorName = keyof typeof priors;

/** The value of every prior, in its own unit. */
export type Priors = Readonly<Record<PriorName, number>>;

/** The priors that nobody has put another value in the place of. */
export const usualPriors = Object.fromEntries(
  Object.entries(priors).map(([name, { value }]) => [name, value]),
) as unknown as Priors;
