import { ownValue } from "../../errors/index.js";
import type { GasMixture, MixedGas } from "./gas-mixture.js";

/** Symbols of components in a designation. */
const symbols: Readonly<Record<string, MixedGas>> = {
  Ar: "Ar",
  He: "He",
  C: "CO2",
  O: "O2",
  N: "N2",
  H: "H2",
};

/** Groups that are one gas. */
const pure: Readonly<Record<string, GasMixture>> = {
  I1: { Ar: 1 },
  I2: { He: 1 },
  C1: { CO2: 1 },
  N1: { N2: 1 },
  O1: { O2: 1 },
};

/**
 * The gas that a designation names with its composition, `M21-ArC-18` (argon with 18 % carbon dioxide) or `I1` (argon); undefined
 * where it gives a group of mixtures alone, `M21`.
 *
 * @example designatedGas("ISO 14175-I3-ArHe-30") // => { Ar: 0.7, He: 0.3 }
 * @source ISO 14175:2008, clause 6 and Table 2, from memory: the base gas, its components, and their percentages parted by /
 */
export function designatedGas(code: string): GasMixture | undefined {
  const [, group, names, shares] =
    /^(?:ISO 14175[ -]+)?([A-Z]\d?\d?)(?:[ -]+((?:Ar|He|[CONH])+)[ -]+([\d.,/]+))?$/.exec(code.trim()) ?? [];
  if (group === undefined) return undefined;
  if (names === undefined) return ownValue(pure, group);
  const gases = [...names.matchAll(/Ar|He|[CONH]/g)].map(([symbol]) => ownValue(symbols, symbol)!);
  const parts = shares!.split("/").map((share) => Number(share.replace(",", ".")) / 100);
  const rest = 1 - parts.reduce((sum, share) => sum + share, 0);
  const isWhole = parts.length === gases.length - 1 && new Set(gases).size === gases.length;
  if (!isWhole || !parts.every((share) => share > 0) || !(rest > 0)) return undefined;
  return Object.fromEntries(gases.map((gas, i) => [gas, i === 0 ? rest : parts[i - 1]!]));
}
