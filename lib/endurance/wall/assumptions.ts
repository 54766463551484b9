import { BeadbenchError, type NumberBounds, requireNumber } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { convert, kindFault, type Quantity, sameDimension } from "../../units/index.js";

/** A number a plan rests on, so that each can be read and replaced. */
export interface WallAssumption {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  /** `given` by the user, from the `study`, the `preset`, the wall `log`, or the source of a handbook value. */
  readonly origin: string;
  readonly note: string;
}

/** A number as it stands unless the user gives another. */
export interface UsualNumber extends WallAssumption {
  readonly bounds?: NumberBounds;
}

/** Gathers what a plan assumes; what the user gave wins. */
export interface AssumptionBook {
  /** @throws {BeadbenchError} `bad-argument` for a given quantity of another kind, or out of bounds */
  take(usual: UsualNumber): number;
  readonly taken: readonly WallAssumption[];
  /** @throws {BeadbenchError} `bad-argument` for a given name that no assumption has */
  close(): void;
}

/** An empty book; `given` by name. */
export function assumptionBook(given: Readonly<Record<string, Quantity>>): AssumptionBook {
  const taken: WallAssumption[] = [];
  return {
    taken,
    take({ bounds = {}, ...usual }) {
      const own = Object.hasOwn(given, usual.name) ? given[usual.name] : undefined;
      const { name, unit, note } = usual;
      if (own !== undefined && !sameDimension(own.unit, unit))
        throw new BeadbenchError("bad-argument", `assumption ${name}: ${faultOf(own, unit)}`);
      const value = own === undefined ? usual.value : rounds(convert(own.value, own.unit, unit), 14);
      requireNumber(`assumption ${name}`, value, unit === "1" ? bounds : { ...bounds, unit });
      taken.push({ name, value, unit, origin: own === undefined ? usual.origin : "given", note });
      return value;
    },
    close() {
      const names = taken.map(({ name }) => name);
      const unknown = Object.keys(given).find((name) => !names.includes(name));
      if (unknown === undefined) return;
      throw new BeadbenchError(
        "bad-argument",
        `nothing here is assumed under the name "${unknown}"; there are ${names.join(", ")}`,
      );
    },
  };
}

/** What is wrong with a quantity of another kind. */
const faultOf = ({ value, unit }: Quantity, wanted: string): string =>
  unit === "1"
    ? `${value} has no unit: write ${value} ${wanted}`
    : `${value} ${unit} ${kindFault(unit, wanted)}`;
