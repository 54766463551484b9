import { BeadbenchError } from "../../errors/index.js";
import { type SourcedValue, sourced } from "./sourced.js";

/** Currents (A) below a bound, the least filter shade and the one to begin with. */
export type ShadeRow = readonly [below: number, least: number, suggested: number | null];

/** An electric arc: its power is voltage times current. */
export interface ArcHeat {
  readonly source: "arc";
  /** Voltages a burning arc shows at the torch, V; outside them the reading or the arc is odd. */
  readonly usualVoltage?: readonly [lower: number, upper: number];
  /** Voltage (V) taken where none is known, instead of the conventional one. */
  readonly typicalVoltage?: number;
  /** Conventional load voltage U = a + b I by which power sources are rated (IEC 60974-1), V. */
  readonly conventional?: readonly [a: number, b: number];
  /** Factor k of a procedure sheet, relative to submerged arc. */
  readonly nominalEfficiency: SourcedValue;
  /** Filters for eyes that see the arc; absent where it is hidden under flux. */
  readonly shades?: readonly ShadeRow[];
}

/** A beam: its power (W) is set by itself. */
export interface BeamHeat {
  readonly source: "beam";
}

/** What is known of a process; values from a study go before all of them. */
export interface ProcessFacts {
  /** First digits of its ISO 4063 numbers; the longest match counts. */
  readonly numbers: readonly string[];
  /** As a shop calls it, with the number to write. */
  readonly example: string;
  readonly heat: ArcHeat | BeamHeat;
  /** Whether the wire carries the current, or is fed cold into the pool. */
  readonly wire: "electrode" | "cold";
  /** Share of the power that reaches the part, for thermal models. */
  readonly efficiency: SourcedValue;
  /** How well that share is known before any coupon: standard deviation of its logarithm beyond what the models allow. */
  readonly efficiencyDoubt: number;
  /** Efficiencies that somebody may have measured. */
  readonly efficiencyBounds: readonly [lower: number, upper: number];
  /** What one who wrote another is told. */
  readonly efficiencyAdvice: string;
  /** Share of the fed wire that stays on the part. */
  readonly deposition: SourcedValue;
  /** What its radiation does, and what keeps it off. */
  readonly caution: string;
}

const nominal = (value: number): SourcedValue =>
  sourced(value, "1", "verified", "EN 1011-1 / ISO/TR 17671-1 factor k, relative to submerged arc");
const dupont = "DuPont and Marder, Welding Journal 74 (1995) 406s, calorimeter";
const consumable = sourced(0.84, "1", "verified", `${dupont} (consumable electrode)`);
const aws = "AWS Welding Handbook ranges";
const coldWire = sourced(0.99, "1", "from memory", aws, [0.98, 1]);

/** What every arc has in common. Efficiency over all arcs: 0.36 (long TIG arc) to 0.95. */
const arc = {
  efficiencyDoubt: 0,
  efficiencyBounds: [0.3, 0.95],
  efficiencyAdvice:
    "TIG 0.67 to 0.78, MIG/MAG 0.84, plasma 0.47 (DuPont and Marder 1995; Stenbacka et al. 2012); leave it out to use these",
  caution: "Arc radiation burns eyes and skin in seconds, also by reflection: helmet, screens, covered skin.",
} as const;
const wireShades: readonly ShadeRow[] = [
  [60, 7, null],
  [160, 10, 11],
  [250, 10, 12],
  [500, 10, 14],
];

/**
 * The processes known here: a new one is a row, and one of `usual-ranges`.
 *
 * Usual voltages: common practice, no source (argon TIG seldom reaches the 10 + 0.04 I of IEC 60974-1). Efficiencies
 * of arcs are measured; for TIG a review of 1955-2011 finds 0.36 to 0.90 published, 0.73 to 0.82 plausible, falling as
 * the arc lengthens (Stenbacka, Choquet and Hurtig, IIW 2012). That of a laser is its absorptivity, which wavelength,
 * material, surface and depth of the pool move by a factor of five: measure it, and write it under rig.efficiency.
 *
 * @source ISO 4063 numbers from memory; shades: least 29 CFR 1910.133(a)(5), suggested ANSI Z49.1 from memory
 */
export const processes = {
  tig: {
    ...arc,
    numbers: ["14"],
    example: "141 TIG",
    heat: {
      source: "arc",
      usualVoltage: [7, 20],
      // An argon arc of 2 to 4 mm: common practice, no source.
      typicalVoltage: 12,
      conventional: [10, 0.04],
      nominalEfficiency: nominal(0.6),
      shades: [
        [50, 8, 10],
        [150, 8, 12],
        [500, 10, 14],
      ],
    },
    wire: "cold",
    efficiency: sourced(0.67, "1", "verified", dupont, [0.36, 0.9]),
    deposition: coldWire,
  },
  "mig-mag": {
    ...arc,
    numbers: ["13"],
    example: "131 MIG, 135 MAG",
    heat: {
      source: "arc",
      usualVoltage: [12, 45],
      conventional: [14, 0.05],
      nominalEfficiency: nominal(0.8),
      shades: wireShades,
    },
    wire: "electrode",
    efficiency: sourced(0.84, "1", "verified", dupont),
    deposition: sourced(
      0.95,
      "1",
      "from memory",
      `${aws}: spray 0.95-0.98, short circuit 0.90-0.95, CO2 0.88-0.93`,
      [0.88, 0.98],
    ),
  },
  "flux-cored": {
    ...arc,
    numbers: ["114", "132", "136"],
    example: "136 flux-cored",
    heat: {
      source: "arc",
      usualVoltage: [12, 45],
      conventional: [14, 0.05],
      nominalEfficiency: nominal(0.8),
      shades: wireShades,
    },
    wire: "electrode",
    efficiency: consumable,
    deposition: sourced(0.86, "1", "from memory", `${aws}, slag lost`, [0.8, 0.9]),
  },
  plasma: {
    ...arc,
    numbers: ["15"],
    example: "15 plasma",
    heat: {
      source: "arc",
      usualVoltage: [12, 40],
      conventional: [10, 0.04],
      nominalEfficiency: nominal(0.6),
      shades: [
        [20, 6, 8],
        [100, 8, 10],
        [400, 10, 12],
        [800, 11, 14],
      ],
    },
    wire: "cold",
    efficiency: sourced(0.47, "1", "verified", dupont),
    deposition: coldWire,
  },
  "manual-metal-arc": {
    ...arc,
    numbers: ["111"],
    example: "111 manual metal arc",
    heat: {
      source: "arc",
      usualVoltage: [15, 40],
      conventional: [20, 0.04],
      nominalEfficiency: nominal(0.8),
      shades: [
        [60, 7, null],
        [160, 8, 10],
        [250, 10, 12],
        [550, 11, 14],
      ],
    },
    wire: "electrode",
    efficiency: consumable,
    deposition: sourced(0.65, "1", "from memory", `${aws}, stub and slag lost`, [0.55, 0.75]),
  },
  "submerged-arc": {
    ...arc,
    numbers: ["12"],
    example: "12 submerged arc",
    heat: { source: "arc", nominalEfficiency: nominal(1) },
    wire: "electrode",
    efficiency: consumable,
    deposition: sourced(1, "1", "from memory", aws),
  },
  laser: {
    numbers: ["52"],
    example: "521 solid-state laser",
    heat: { source: "beam" },
    wire: "cold",
    efficiency: sourced(
      0.4,
      "1",
      "from memory",
      "absorptivity of a melt of steel or nickel at 1 um; a keyhole takes far more, bright aluminium or copper far less: measure it",
      [0.15, 0.8],
    ),
    // The range above taken as two standard deviations either way.
    efficiencyDoubt: 0.42,
    efficiencyBounds: [0.05, 0.95],
    efficiencyAdvice: "absorptivity of a laser is 0.15 to 0.8 on most melts (from memory)",
    deposition: sourced(0.99, "1", "from memory", "cold wire melted into the pool", [0.95, 1]),
    caution:
      "A laser blinds before one can blink, also by reflection and from far away: an interlocked, light-tight enclosure, laser eyewear for its wavelength and power, and the local laser code (for example IEC 60825-1, ANSI Z136.1) come before any run; a welding helmet is no laser eyewear.",
  },
} as const satisfies Readonly<Record<string, ProcessFacts>>;

/** A family of process whose physics differ here. */
export type ProcessFamily = keyof typeof processes;

/** The families whose heat is an electric arc. */
export type ArcProcess = {
  [F in ProcessFamily]: (typeof processes)[F]["heat"]["source"] extends "arc" ? F : never;
}[ProcessFamily];

/**
 * The facts of a family: its numbers, its heat, its wire, bounds and cautions.
 */
export const processFacts = (family: ProcessFamily): ProcessFacts => processes[family];

/**
 * The facts of the arc of a family; undefined for one heated by a beam.
 */
export function arcOf(family: ProcessFamily): ArcHeat | undefined {
  const { heat } = processFacts(family);
  return heat.source === "arc" ? heat : undefined;
}

/** Families in the order of the table. */
export const processFamilies = Object.keys(processes) as readonly ProcessFamily[];

/** Every process known here, as a shop calls it, with the number to write. */
export const processExamples = (): string =>
  processFamilies.map((family) => processFacts(family).example).join(", ");

/**
 * The family of an ISO 4063 process number.
 *
 * @throws {BeadbenchError} `bad-argument` for a number that is no process known here
 * @source ISO 4063 numbers (141 TIG with solid wire, 131 MIG, 135 MAG, 15 plasma, 52 laser), from memory
 * @example processOf("141") // => "tig"
 */
export function processOf(number: string): ProcessFamily {
  const matches = processFamilies.flatMap((family) =>
    processFacts(family)
      .numbers.filter((prefix) => number.trim().startsWith(prefix))
      .map((prefix) => ({ family, length: prefix.length })),
  );
  const [found] = matches.sort((a, b) => b.length - a.length);
  if (found === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `process "${number}" is not a process known here; give its ISO 4063 number: ${processExamples()}`,
    );
  }
  return found.family;
}
