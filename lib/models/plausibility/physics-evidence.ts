import { conventionalVoltage } from "../../process/arc/index.js";
import { usualFullness } from "../../process/bead/index.js";
import { processFacts, usualRange } from "../../process/handbook/index.js";
import { convert } from "../../units/index.js";
import { arcVoltageOrTypical, type RigPhysics } from "../physical/index.js";
import type { Written, WrittenQuantity } from "./quantities.js";

/** What one coupon shows of a quantity, by the name of its usual range; undefined when it does not. */
export type Show = (role: string) => number | undefined;

/** A number that is much the same on every rig of a process, and how well that is known. */
export interface Evidence {
  readonly name: string;
  /** What a person calls it. */
  readonly label: string;
  readonly unit: string;
  /** The usual value. */
  readonly usual: number;
  /** Standard deviation of its logarithm from study to study. */
  readonly sd: number;
  /** The one column it looks at, where it does not ask by names of ranges. */
  readonly column?: string;
  readonly of: (show: Show, written: Written) => number | undefined;
}

/**
 * Bead width (mm) per square root of arc energy (J/mm). A line source on a thick plate melts a half circle of area
 * proportional to E (Rosenthal 1946), hence the root; the factor: common practice, no source.
 */
const WIDTH_PER_ROOT_ENERGY = 0.23;
/** Wire melted per current on a consumable electrode, mm3/s per A: common practice, no source. */
const BURN_OFF = 0.6;

/** A current that a power source could be rated at, A, where a slip may have made one that none can. */
const possible = (current: number): number => Math.min(1500, Math.max(1, current));

/** What physics says of a bead beyond the usual range of each number; common practice, no source, where none is named. */
export function physicsEvidence(physics: RigPhysics): readonly Evidence[] {
  const electrode = processFacts(physics.process).wire === "electrode";
  const enthalpy = physics.wireEnthalpy.value;
  const efficiency = physics.efficiency.value;
  const kept = physics.depositionEfficiency.value;
  const wireRate = (show: Show): number | undefined => {
    const diameter = show("wire_diameter");
    const feed = show("wire_feed_speed");
    return diameter === undefined || feed === undefined ? undefined : (Math.PI / 4) * diameter ** 2 * feed;
  };
  const currentOf = (show: Show): number | undefined => {
    const current = show("current");
    const rate = electrode ? wireRate(show) : undefined;
    return current ?? (rate === undefined ? undefined : rate / BURN_OFF);
  };
  const power = (show: Show): number | undefined => {
    if (physics.source === "beam") return show("power");
    const current = currentOf(show);
    const volts = show("arc_voltage");
    if (current === undefined) return undefined;
    const typical = (): number => arcVoltageOrTypical(physics, { current: possible(current) });
    return current * (volts ?? typical());
  };
  const per = (a: number | undefined, b: number | undefined): number | undefined =>
    a === undefined || b === undefined ? undefined : a / b;
  const times = (a: number | undefined, b: number | undefined): number | undefined =>
    a === undefined || b === undefined ? undefined : a * b;
  const sectionArea = (show: Show, { section }: Written): number | undefined =>
    show("bead_area") ??
    times(times(show("bead_width"), show("bead_height")), usualFullness[section].value.value);
  const fedArea = (show: Show): number | undefined => times(per(wireRate(show), show("travel_speed")), kept);
  const perRootEnergy = (show: Show, size: string): number | undefined => {
    const energy = per(power(show), show("travel_speed"));
    return energy === undefined ? undefined : per(show(size), Math.sqrt(energy));
  };
  return [
    {
      name: "fullness",
      label: "wire fed over bead width times height",
      unit: "1",
      usual: usualFullness.bead.value.value,
      sd: 0.22,
      of: (show, { section }) => {
        const fed = fedArea(show);
        const box =
          show("bead_area") === undefined
            ? times(show("bead_width"), show("bead_height"))
            : show("bead_area")! / usualFullness.bead.value.value;
        const scale = usualFullness.bead.value.value / usualFullness[section].value.value;
        return times(per(fed, box), scale);
      },
    },
    {
      name: "implied-aspect",
      label: "width that the wire fed would need, over bead height",
      unit: "1",
      usual: 3,
      sd: 0.45,
      of: (show, { section }) => {
        const height = show("bead_height");
        if (show("bead_width") !== undefined || height === undefined) return undefined;
        return per(fedArea(show), usualFullness[section].value.value * height ** 2);
      },
    },
    {
      name: "slenderness",
      label: "bead width over height",
      unit: "1",
      usual: 2.8,
      sd: 0.5,
      of: (show) => per(show("bead_width"), show("bead_height")),
    },
    {
      name: "energy-width",
      label: "bead width per root of arc energy, mm per (J/mm)^0.5",
      unit: "1",
      usual: WIDTH_PER_ROOT_ENERGY,
      sd: 0.33,
      of: (show) => perRootEnergy(show, "bead_width"),
    },
    {
      name: "energy-penetration",
      label: "penetration per root of arc energy, mm per (J/mm)^0.5",
      unit: "1",
      usual: 0.06,
      sd: 0.6,
      of: (show) => perRootEnergy(show, "penetration"),
    },
    {
      name: "heat-share",
      label: "share of the arc's heat that the bead laid down would take to melt",
      unit: "1",
      usual: electrode ? 0.24 : 0.2,
      sd: 0.5,
      of: (show, written) => {
        // Where the wire fed is known the same share is judged by it, and better.
        if (fedArea(show) !== undefined) return undefined;
        const rate = times(sectionArea(show, written), show("travel_speed"));
        return per(times(rate, enthalpy), times(power(show), efficiency));
      },
    },
    {
      name: "deposit",
      label: "metal laid down, mm3/s",
      unit: "mm3/s",
      usual: electrode ? 85 : 20,
      sd: 0.6,
      of: (show, written) => {
        if (fedArea(show) !== undefined) return undefined;
        const height = show("bead_height");
        // Where only the height is known, a bead of usual width.
        const alone = height === undefined ? undefined : usualFullness.bead.value.value * 2.8 * height ** 2;
        return times(sectionArea(show, written) ?? alone, show("travel_speed"));
      },
    },
    {
      name: "feed-share",
      label: electrode
        ? "wire melted per current, mm3/s per A"
        : "share of the arc's heat that melts the wire fed",
      unit: "1",
      usual: electrode ? BURN_OFF : 0.2,
      sd: electrode ? 0.35 : 0.5,
      of: (show) =>
        electrode
          ? per(wireRate(show), show("current"))
          : per(times(wireRate(show), enthalpy), times(power(show), efficiency)),
    },
    {
      name: "load-line",
      label: "arc voltage over the conventional load voltage (IEC 60974-1)",
      unit: "1",
      usual: electrode ? 0.95 : 0.75,
      sd: 0.25,
      of: (show) => {
        const current = show("current");
        const rated =
          current === undefined ? undefined : conventionalVoltage(physics.process, possible(current));
        return per(show("arc_voltage"), rated);
      },
    },
    {
      name: "penetration-shape",
      label: "penetration over bead width",
      unit: "1",
      usual: 0.26,
      sd: 0.6,
      of: (show) => per(show("penetration"), show("bead_width")),
    },
    {
      name: "dilution",
      label: "dilution, as odds, over that of the areas the sizes make",
      unit: "1",
      usual: 1,
      sd: 0.6,
      of: (show) => {
        const dilution = show("dilution");
        const ratio = per(show("penetration"), show("bead_height"));
        if (dilution === undefined || ratio === undefined) return undefined;
        // A share of 1 or more cannot be: taken as one very near 1.
        const odds = dilution < 1 ? dilution / (1 - dilution) : 1e3 * dilution;
        return odds / (ratio * (0.6 / usualFullness.bead.value.value));
      },
    },
  ];
}

/** The usual range of one quantity as evidence. */
export function rangeEvidence(quantity: WrittenQuantity, physics: RigPhysics): Evidence | undefined {
  const range = usualRange(quantity.role, physics.process);
  if (range === undefined) return undefined;
  const { column } = quantity;
  return {
    name: `range ${column}`,
    label: column,
    unit: range.unit,
    usual: Math.sqrt(range.lower * range.upper),
    // The range holds about 95 of 100: two standard deviations to either side.
    sd: Math.log(range.upper / range.lower) / 4,
    of: (_, { values }) => {
      const value = values.get(column);
      return value === undefined ? undefined : convert(value, quantity.canonical, range.unit);
    },
    column,
  };
}

/** The logarithms of a piece of evidence against the usual value, one for each coupon that shows it. */
export function logsOf(evidence: Evidence, coupons: readonly Written[]): readonly number[] {
  // Asked some thousand times in a check, so nothing is made anew for each coupon.
  const logs: number[] = [];
  let written: Written;
  const show: Show = (role) => {
    const column = written.columns.get(role);
    return column === undefined ? undefined : written.values.get(column);
  };
  for (written of coupons) {
    const value = evidence.of(show, written);
    if (value !== undefined && value > 0 && Number.isFinite(value))
      logs.push(Math.log(value / evidence.usual));
  }
  return logs;
}

/** The columns a piece of evidence looks at on some coupons. Which they are depends on what is known, not on its value. */
export function columnsSeen(evidence: Evidence, coupons: readonly Written[]): ReadonlySet<string> {
  const columns = new Set(evidence.column === undefined ? [] : [evidence.column]);
  for (const written of coupons) {
    evidence.of((role) => {
      const column = written.columns.get(role);
      if (column !== undefined) columns.add(column);
      return column === undefined ? undefined : written.values.get(column);
    }, written);
  }
  return columns;
}
