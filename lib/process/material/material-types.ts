import type { SourcedValue } from "../handbook/index.js";

/** Numbers every material card has. */
export const cardProperties = [
  "density",
  "solidus",
  "liquidus",
  "meltTemperature",
  "specificHeat",
  "meanSpecificHeat",
  "latentHeat",
  "conductivity",
  "hotConductivity",
] as const;

/**
 * `density` g/cm3 at 20 degC; `solidus`, `liquidus` degC; `meltTemperature` degC at which the wire counts
 * as molten in the melting enthalpy; `specificHeat` J/(kg K) at 20 degC and `meanSpecificHeat` from there
 * to the melt; `latentHeat` kJ/kg; `conductivity` W/(mm K) at 20 degC and `hotConductivity` of the hot solid.
 */
export type CardProperty = (typeof cardProperties)[number];

/** Alloy families that are welded alike. */
export type AlloyFamily =
  | "carbon steel"
  | "austenitic stainless"
  | "aluminium"
  | "nickel"
  | "copper"
  | "titanium";

/** Handbook values of one wire. */
export interface MaterialCard {
  /** AWS classification. */
  readonly id: string;
  /** ISO designation. */
  readonly iso: string;
  /** The AWS specification and the ISO standard these names come from. */
  readonly standards: readonly [aws: string, iso: string];
  readonly family: AlloyFamily;
  readonly properties: Readonly<Record<CardProperty, SourcedValue>>;
}

/** The unit in which a material card gives each property. */
export const units: Readonly<Record<CardProperty, string>> = {
  density: "g/cm3",
  solidus: "degC",
  liquidus: "degC",
  meltTemperature: "degC",
  specificHeat: "J/(kg K)",
  meanSpecificHeat: "J/(kg K)",
  latentHeat: "kJ/kg",
  conductivity: "W/(mm K)",
  hotConductivity: "W/(mm K)",
};
