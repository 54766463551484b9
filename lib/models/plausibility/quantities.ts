import { ownValue } from "../../errors/index.js";
import { median } from "../../numeric/figures/index.js";
import type { SectionKind } from "../../process/bead/index.js";
import { processOf, usualRange } from "../../process/handbook/index.js";
import type { Factor, Response, StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, measuredResults, type StudyData } from "../../study/record/index.js";
import { convert, sameDimension, unitsLike } from "../../units/index.js";
import { measuredSize, type SizeRole, sectionKindOf, sizePairs } from "../physical/index.js";
import { isPhysicalQuantity, physicalUnits } from "../settings/index.js";

/** A column of numbers whose unit may have slipped. */
export interface WrittenQuantity {
  readonly column: string;
  /** What it is, by the name under which its usual range stands. */
  readonly role: string;
  /** Unit it was written down in. */
  readonly unit: string;
  /** Unit of the numbers in {@link Written}. */
  readonly canonical: string;
  /** The factor it is a setting of. */
  readonly factor?: Factor;
  /** Held constant in study.json: no coupon carries it. */
  readonly constant?: true;
}

/** What one coupon shows, in canonical units, as it was written down. */
export interface Written {
  readonly coupon: Coupon;
  readonly values: ReadonlyMap<string, number>;
  /** Settings asked for, in canonical units. */
  readonly planned: ReadonlyMap<string, number>;
  readonly section: SectionKind;
  /** The column that shows a role on this coupon. */
  readonly columns: ReadonlyMap<string, string>;
}

/** The columns of a study with numbers, and the coupons as written down. */
export interface WrittenStudy {
  readonly definition: StudyDefinition;
  readonly quantities: readonly WrittenQuantity[];
  readonly coupons: readonly Written[];
}

/** The name under which the usual range of a size stands. */
const sizeRanges: Readonly<Partial<Record<SizeRole, string>>> = {
  width: "bead_width",
  "clean-width": "bead_width",
  height: "bead_height",
  area: "bead_area",
  penetration: "penetration",
  "toe-angle": "toe_angle",
};

/** The name under which the usual range of a response stands. */
export function sizeRangeName(response: Response): string {
  const size = measuredSize(response);
  return (size && sizeRanges[size.role]) ?? response.name;
}

/** The name of the wire's diameter, which stands in study.json, as a column. */
export const WIRE_DIAMETER = "wire diameter";

/** Takes a study's numbers apart: which quantity each is, in which unit it was written, what each coupon shows. */
export function writtenStudy({ definition, coupons }: StudyData): WrittenStudy {
  const quantities = quantitiesOf(definition, coupons);
  const byColumn = new Map(quantities.map((quantity) => [quantity.column, quantity]));
  const pairs = sizePairs(definition);
  const constants = new Map<string, number>();
  for (const { column, canonical, constant } of quantities) {
    const found =
      column === WIRE_DIAMETER ? definition.wire?.diameter : ownValue(definition.rig?.settings, column);
    if (constant === true && found !== undefined)
      constants.set(column, convert(found.value, found.unit, canonical));
  }
  const written = coupons.map((coupon): Written => {
    const values = new Map(constants);
    const planned = new Map<string, number>();
    const put = ({
      into,
      column,
      value,
      unit,
    }: {
      readonly into: Map<string, number>;
      readonly column: string;
      readonly value: unknown;
      readonly unit: string;
    }): void => {
      const quantity = byColumn.get(column);
      if (quantity !== undefined && typeof value === "number" && sameDimension(unit, quantity.canonical))
        into.set(column, convert(value, unit, quantity.canonical));
    };
    for (const { name, unit } of definition.factors) {
      put({ into: values, column: name, value: ownValue(coupon.settings, name), unit });
      put({ into: planned, column: name, value: ownValue(coupon.plannedSettings, name), unit });
    }
    for (const [name, { value, unit }] of Object.entries(coupon.context))
      put({ into: values, column: name, value, unit });
    // One stray station must not make a whole column odd.
    for (const [name, { value, scatter }] of measuredResults(coupon))
      put({
        into: values,
        column: name,
        value: scatter === undefined ? value : median(scatter.readings),
        unit: definition.responses.find((response) => response.name === name)!.unit,
      });
    const pair = pairs.find(({ width, height }) => values.has(width.name) && values.has(height.name));
    const columns = new Map<string, string>();
    for (const { column, role } of quantities)
      if (values.has(column) && !columns.has(role)) columns.set(role, column);
    if (pair !== undefined) columns.set("bead_width", pair.width.name).set("bead_height", pair.height.name);
    const height = definition.responses.find(({ name }) => name === columns.get("bead_height"));
    const of = pair?.of ?? (height === undefined ? undefined : measuredSize(height)?.of);
    return { coupon, values, planned, columns, section: sectionKindOf(of, coupon) };
  });
  return { definition, quantities, coupons: written };
}

function quantitiesOf(definition: StudyDefinition, coupons: readonly Coupon[]): readonly WrittenQuantity[] {
  const family = processOf(definition.process);
  const written = (column: string, unit: string): string => {
    const found = new Set(coupons.map(({ statedUnits }) => ownValue(statedUnits, column) ?? unit));
    const [only] = found;
    return found.size === 1 ? only! : unit;
  };
  const make = (column: string, unit: string, name = column): WrittenQuantity => {
    const usual = usualRange(name, family);
    const known =
      usual !== undefined && sameDimension(usual.unit, unit)
        ? usual.unit
        : isPhysicalQuantity(name) && sameDimension(physicalUnits[name], unit)
          ? physicalUnits[name]
          : undefined;
    const role = known === undefined ? `column ${column}` : name;
    return { column, role, unit: written(column, unit), canonical: known ?? unitsLike(unit)[0]! };
  };
  const factors = definition.factors
    .filter(({ kind }) => kind !== "category")
    .map((factor) => ({ ...make(factor.name, factor.unit), factor }));
  const responses = definition.responses
    .filter(({ kind }) => kind === "measured")
    .map((response) => make(response.name, response.unit, sizeRangeName(response)));
  const context = new Map(
    coupons.flatMap((coupon) => Object.entries(coupon.context).map(([name, { unit }]) => [name, unit])),
  );
  const logged = [...context].map(([name, unit]) => make(name, unit));
  const held = Object.entries(definition.rig?.settings ?? {})
    .filter(([name]) => !context.has(name))
    .map(([name, { unit }]) => ({ ...make(name, unit), constant: true as const }));
  const wire =
    definition.wire === undefined
      ? []
      : [
          {
            ...make(WIRE_DIAMETER, definition.wire.diameter.unit, "wire_diameter"),
            constant: true as const,
          },
        ];
  const own = new Set(definition.factors.map(({ name }) => name));
  return [...factors, ...responses, ...logged.filter(({ column }) => !own.has(column)), ...held, ...wire];
}
