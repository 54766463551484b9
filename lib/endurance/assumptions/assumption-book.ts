import { BeadbenchError, type NumberBounds, ownValue, requireNumber } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { suggestion } from "../../study/index.js";
import { convert, kindFault, type Quantity, sameDimension } from "../../units/index.js";

/** A number a plan or a forecast rests on, so that each can be read and replaced. */
export interface Assumption {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  /** `given` by the user, from the `study`, the `preset`, the wall `log`, or the source of a handbook value. */
  readonly origin: string;
  readonly note: string;
}

/** A number as it stands unless the user gives another. */
export interface UsualNumber extends Assumption {
  readonly bounds?: NumberBounds;
}

/** Numbers in the place of the usual ones, by origin, the most binding first. */
export type ToldNumbers = readonly (readonly [origin: string, Readonly<Record<string, Quantity>>])[];

/** Gathers what is assumed; what was told wins. */
export interface AssumptionBook {
  /** @throws {BeadbenchError} `bad-argument` for a told quantity of another kind, or out of bounds */
  take(usual: UsualNumber): number;
  readonly taken: readonly Assumption[];
  /** @throws {BeadbenchError} `bad-argument` for a told name that no assumption has */
  close(): void;
}

/** An empty book. */
export function assumptionBook(told: ToldNumbers): AssumptionBook {
  const taken: Assumption[] = [];
  return {
    taken,
    take({ bounds = {}, ...usual }) {
      const { name, unit, note } = usual;
      const own = told.flatMap(([origin, quantities]) => {
        const quantity = ownValue(quantities, name);
        return quantity === undefined ? [] : [{ ...quantity, origin }];
      })[0];
      if (own !== undefined && !sameDimension(own.unit, unit))
        throw new BeadbenchError("bad-argument", `assumption ${name}: ${faultOf(own, unit)}`);
      const value = own === undefined ? usual.value : rounds(convert(own.value, own.unit, unit), 14);
      requireNumber(`assumption ${name}`, value, unit === "1" ? bounds : { ...bounds, unit });
      taken.push({ name, value, unit, origin: own?.origin ?? usual.origin, note });
      return value;
    },
    close() {
      const names = taken.map(({ name }) => name);
      const unknown = told
        .flatMap(([, quantities]) => Object.keys(quantities))
        .find((name) => !names.includes(name));
      if (unknown === undefined) return;
      throw new BeadbenchError(
        "bad-argument",
        `nothing here is assumed under the name "${unknown}"${suggestion(unknown, names)}; there are ${names.join(", ")}`,
      );
    },
  };
}

/** What is wrong with a quantity of another kind. */
const faultOf = ({ value, unit }: Quantity, wanted: string): string =>
  unit === "1"
    ? `${value} has no unit: write ${value} ${wanted}`
    : `${value} ${unit} ${kindFault(unit, wanted)}`;
