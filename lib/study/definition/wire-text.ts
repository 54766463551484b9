import { settingDigits } from "../../numeric/figures/index.js";
import { withUnit } from "../../units/index.js";
import type { Wire } from "./definition.js";

/** A wire as a reader says it; "no wire" where none is fed. */
export function wireText(wire: Wire | undefined): string {
  if (wire === undefined) return "no wire";
  const { classification, diameter } = wire;
  return `wire ${classification} ${withUnit(settingDigits(diameter.value), diameter.unit)}`;
}
