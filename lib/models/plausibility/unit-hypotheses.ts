import { ownValue } from "../../errors/index.js";
import { convert, findUnit } from "../../units/index.js";
import { WIRE_DIAMETER, type Written, type WrittenQuantity, type WrittenStudy } from "./quantities.js";

/** Another reading of the numbers of one column. */
export interface Reading {
  readonly quantity: WrittenQuantity;
  /** The unit they may be in, or a decimal mark that may have slipped. */
  readonly likely: string;
  /** Whether `likely` is a unit, and not a decimal mark. */
  readonly isUnit: boolean;
  /** What a number as written (canonical unit) would be then. */
  readonly mend: (value: number) => number;
  /** How often a shop makes this slip, relative to others. */
  readonly weight: number;
}

/** Units a shop mixes up, the common ones first; the rest of a line is rare. */
const mixed: Readonly<
  Record<string, { readonly common: readonly string[]; readonly rare?: readonly string[] }>
> = {
  length: { common: ["mm", "in", "cm"], rare: ["m", "um"] },
  speed: { common: ["mm/s", "mm/min", "cm/min", "m/min", "in/min"], rare: ["in/s"] },
  flow: { common: ["L/min", "ft3/h"], rare: ["L/h", "m3/h"] },
  time: { common: ["s", "min"], rare: ["ms", "h"] },
  temperature: { common: ["degC", "degF"], rare: ["K"] },
  angle: { common: ["deg", "rad"] },
  ratio: { common: ["1", "%"] },
  area: { common: ["mm2", "in2"] },
  power: { common: ["W", "kW"] },
};

const RARE = 0.1;
/** A decimal mark slipped in a whole column. */
const DECIMAL = 0.03;
/** A calliper reading slips more seldom than a dial that shows one of several units. */
const SIZE = 0.6;
/** The wire's diameter is printed on its spool. */
const WIRE = 0.3;

/** Every other reading of every column, each alone. */
export function readingsOf({ quantities }: WrittenStudy): readonly Reading[] {
  return quantities.flatMap((quantity): Reading[] => {
    const { unit, canonical } = quantity;
    const share =
      quantity.column === WIRE_DIAMETER
        ? WIRE
        : quantity.factor === undefined && !quantity.constant
          ? SIZE
          : 1;
    const table = ownValue(mixed, findUnit(unit).dimension) ?? { common: [] };
    const unitReading = (likely: string, weight: number): Reading => ({
      quantity,
      likely,
      isUnit: true,
      mend: (value) => convert(convert(value, canonical, unit), likely, canonical),
      weight: weight * share,
    });
    const symbol = findUnit(unit).symbol;
    const units = [
      ...table.common.map((likely) => unitReading(likely, 1)),
      ...(table.rare ?? []).map((likely) => unitReading(likely, RARE)),
    ].filter(({ likely }) => likely !== symbol);
    const decimals = [
      { likely: "ten times too high", factor: 0.1 },
      { likely: "ten times too low", factor: 10 },
    ]
      // A unit ten times as large says the same in plainer words.
      .filter(({ factor }) => units.every(({ mend }) => Math.abs(mend(1) / factor - 1) > 1e-6))
      .map(({ likely, factor }): Reading => {
        return { quantity, likely, isUnit: false, mend: (value) => factor * value, weight: DECIMAL * share };
      });
    return [...units, ...decimals];
  });
}

/** A coupon as it would be under another reading. */
export function reread({ quantity, mend }: Reading, written: Written): Written {
  const value = written.values.get(quantity.column);
  if (value === undefined) return written;
  return { ...written, values: new Map(written.values).set(quantity.column, mend(value)) };
}
