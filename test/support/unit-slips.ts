import type { RandomStream } from "../../lib/numeric/index.js";
import {
  type Coupon,
  measuredOf,
  parseStudyDefinition,
  type StudyDefinition,
} from "../../lib/study/index.js";
import { convert, findUnit } from "../../lib/units/index.js";
import { drawRig } from "../rigs/drawn-rig.js";
import { type RigFormulas, runCoupon } from "../rigs/rig.js";
import { coupon, shows } from "./studies.js";

/** A study in memory. */
export interface Beads {
  readonly name: string;
  readonly definition: StudyDefinition;
  readonly coupons: readonly Coupon[];
}

/** Units a shop mixes up, by dimension; those of one line are tried for each other. */
const shop: Readonly<Record<string, readonly string[]>> = {
  length: ["mm", "cm", "in"],
  speed: ["mm/s", "mm/min", "cm/min", "m/min", "in/min"],
  angle: ["deg", "rad"],
  ratio: ["1", "%"],
  flow: ["L/min", "ft3/h"],
  power: ["W", "kW"],
};

/** A study with one column under a wrong unit. */
export interface SlippedStudy extends Beads {
  readonly column: string;
  /** The unit the numbers are in. */
  readonly meant: string;
  /** The unit that heads them. */
  readonly labelled: string;
}

/**
 * Every column of a study under every unit a shop would mix up: with the study's own ranges, as when a file with a wrong
 * header is imported, or with ranges drawn from the file, as when the study is started from it.
 */
export function slippedStudies(beads: Beads, ranges: "own" | "drawn"): readonly SlippedStudy[] {
  const { definition, coupons } = beads;
  const columns = [
    ...definition.factors.filter(({ kind }) => kind !== "category"),
    ...definition.responses.filter(({ kind }) => kind === "measured"),
  ];
  return columns.flatMap(({ name, unit }) =>
    (shop[findUnit(unit).dimension] ?? [])
      .filter((labelled) => labelled !== unit && !(unit === "1" && name !== "dilution"))
      .map((labelled): SlippedStudy => {
        const wrong = (value: number): number => convert(value, labelled, unit);
        const slipped = coupons.map((one): Coupon => {
          const setting = one.settings[name];
          if (typeof setting === "number")
            return {
              ...one,
              settings: { ...one.settings, [name]: wrong(setting) },
              statedUnits: { [name]: labelled },
            };
          const size = measuredOf(one, name);
          return size === undefined
            ? one
            : { ...shows(one, { measured: { [name]: wrong(size) } }), statedUnits: { [name]: labelled } };
        });
        const result = { name: beads.name, column: name, meant: unit, labelled };
        return ranges === "own"
          ? { ...result, definition, coupons: slipped }
          : { ...result, definition: drawnFrom(definition, slipped), coupons: slipped };
      }),
  );
}

/** A definition whose ranges are those of the coupons, as `new --from` a file of beads makes it. */
export function drawnFrom(definition: StudyDefinition, coupons: readonly Coupon[]): StudyDefinition {
  return {
    ...definition,
    factors: definition.factors.map((factor) => {
      const values = coupons.map(({ settings }) => Number(settings[factor.name]));
      return factor.kind === "category"
        ? factor
        : { ...factor, low: Math.min(...values), high: Math.max(...values) };
    }),
  };
}

/** Beads of a rig at settings drawn over its region, those that failed left out. */
export function beadsOf(rig: RigFormulas, stream: RandomStream, count: number): Beads {
  const coupons: Coupon[] = [];
  for (let i = 0; i < 4000 && coupons.length < count; i++) {
    const settings = Object.fromEntries(
      rig.definition.factors.map(({ name, low, high, step = 0.01 }) => [
        name,
        Number((low + step * stream.integer(0, Math.round((high - low) / step))).toPrecision(9)),
      ]),
    );
    const { measured } = runCoupon(rig, settings, 0, stream);
    if (Object.keys(measured).length > 0)
      coupons.push(coupon(`C${coupons.length + 1}`, { order: coupons.length + 1, settings, measured }));
  }
  return { name: rig.name, definition: rig.definition, coupons };
}

/** Beads of rigs drawn at random. */
export function drawnBeads(stream: RandomStream, count: number): Beads {
  return beadsOf(drawRig(stream, "drawn"), stream, count);
}

/** The same beads when nobody logged a setting. */
export function withoutFactor({ name, definition, coupons }: Beads, factor: string): Beads {
  return {
    name: `${name} without ${factor}`,
    definition: parseStudyDefinition({
      ...definition,
      factors: definition.factors.filter((one) => one.name !== factor),
    }),
    coupons: coupons.map((one) => ({
      ...one,
      settings: Object.fromEntries(Object.entries(one.settings).filter(([name]) => name !== factor)),
    })),
  };
}
