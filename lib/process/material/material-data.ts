import { type SourcedValue, type Standing, sourced } from "../handbook/index.js";
import { type CardProperty, cardProperties, type MaterialCard, units } from "./material-types.js";

/** One number of a card as the data files write it. */
export type CardEntry = readonly [
  value: number,
  basis: Standing,
  source: string,
  range?: readonly [lower: number, upper: number],
];

/** Builds a card from its entries. */
export function card(
  names: Omit<MaterialCard, "properties">,
  entries: Readonly<Record<CardProperty, CardEntry>>,
): MaterialCard {
  const properties = Object.fromEntries(
    cardProperties.map((name): readonly [CardProperty, SourcedValue] => {
      const [value, basis, source, range] = entries[name];
      return [name, sourced(value, units[name], basis, source, range)];
    }),
  ) as Record<CardProperty, SourcedValue>;
  return { ...names, properties };
}
