import { BeadbenchError, ownValue, requireNumber, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/format/index.js";
import { findRoot } from "../../numeric/roots/index.js";
import { cylinderContent } from "./cylinder.js";

/** A gas that welding mixtures are made of. */
export type MixedGas = "Ar" | "He" | "CO2" | "O2" | "N2" | "H2";

/** Critical temperature, K, pressure, bar, and acentric factor; NIST Chemistry WebBook, from memory. */
const constants: Readonly<Record<MixedGas, readonly [critical: number, pressure: number, acentric: number]>> =
  {
    Ar: [150.687, 48.63, -0.00219],
    He: [5.1953, 2.276, -0.382],
    CO2: [304.128, 73.773, 0.22394],
    O2: [154.581, 50.43, 0.0222],
    N2: [126.192, 33.958, 0.0372],
    H2: [33.145, 12.964, -0.219],
  };

/** Shares by volume, which add up to 1. */
export type GasMixture = Readonly<Partial<Record<MixedGas, number>>>;

/** Above these shares the equation is not held against anything: carbon dioxide condenses in its cylinder. */
const MOST: Readonly<Partial<Record<MixedGas, number>>> = { CO2: 0.3, H2: 0.4 };

/** J/(mol K). */
const GAS_CONSTANT = 8.314462618;

/**
 * Reads a mixture such as "Ar 82 CO2 18" or "He 30 Ar": parts in percent by volume, one of them may be left to the rest.
 *
 * @throws {BeadbenchError} `bad-argument` for an unknown gas or shares that do not add up, naming them
 * @example readMixture("Ar 82 CO2 18") // => { Ar: 0.82, CO2: 0.18 }
 */
export function readMixture(text: string): GasMixture {
  const known = Object.keys(constants);
  const parts = [...text.matchAll(/([A-Za-z]+\d?)\s*([\d.]+)?\s*%?/g)];
  const bad = (why: string): BeadbenchError =>
    new BeadbenchError("bad-argument", `gas "${text}": ${why}; write it as "Ar 82 CO2 18" or "He 30 Ar"`);
  if (parts.length === 0) throw bad("is no mixture");
  const found: Partial<Record<MixedGas, number>> = {};
  let rest: MixedGas | undefined;
  for (const [, symbol, share] of parts) {
    const gas = known.find((name) => name.toLowerCase() === symbol!.toLowerCase()) as MixedGas | undefined;
    if (gas === undefined) throw bad(`${symbol} is none of ${known.join(", ")}`);
    if (ownValue(found, gas) !== undefined || rest === gas) throw bad(`${gas} stands twice`);
    if (share !== undefined) found[gas] = Number(share) / 100;
    else if (rest === undefined) rest = gas;
    else throw bad(`${rest} and ${gas} have no share`);
  }
  const sum = Object.values(found).reduce((total, share) => total + share, 0);
  if (rest !== undefined && sum < 1) found[rest] = (100 - 100 * sum) / 100;
  else if (rest !== undefined || !(Math.abs(sum - 1) < 1e-9))
    throw bad(`the shares make ${rounds(100 * sum, 6)} %, not 100`);
  return found;
}

/**
 * Gas of a mixture in a cylinder as gas at 15 degC and 1 bar: argon's content, which is known well, times the ratio of the
 * mixture to argon by a cubic equation of state.
 *
 *     p = R T/(v - b) - a/(v^2 + 2 b v - b^2),  a = (sum x sqrt(a_i))^2,  b = sum x b_i
 *
 * Within 2.5 % up to 200 bar and 4 % up to 300 bar of the reference equations (GERG-2008) for argon with up to 30 % helium,
 * 18 % carbon dioxide, oxygen, hydrogen, and for pure helium and nitrogen at 15 degC.
 *
 * @returns m3
 * @throws {BeadbenchError} `bad-argument` for a number or a share outside its bounds, naming them
 * @source D.-Y. Peng, D. B. Robinson, Ind. Eng. Chem. Fundam. 15 (1976) 59-64, van der Waals mixing, no pair corrections
 */
export function mixtureContent(
  mixture: GasMixture,
  {
    volume,
    pressure,
    temperature = 15,
  }: {
    /** Water volume, L. */
    readonly volume: number;
    /** Absolute, bar, at most 300. */
    readonly pressure: number;
    /** degC, 0 to 50. Default 15. */
    readonly temperature?: number;
  },
): number {
  requireNumber("cylinder pressure", pressure, { above: 0, max: 301.1, unit: "bar" });
  requireNumber("cylinder temperature", temperature, { min: 0, max: 50, unit: "degC" });
  for (const [gas, share] of Object.entries(mixture)) {
    const most = MOST[gas as MixedGas];
    requireThat(
      most === undefined || share <= most,
      `a mixture with ${rounds(100 * share, 6)} % ${gas} is not reckoned here, at most ${100 * (most ?? 1)} %${gas === "CO2" ? ": it condenses in its cylinder, whose gas is told by its weight" : ""}`,
    );
  }
  const times = (gas: GasMixture): number =>
    molarDensity(gas, pressure, temperature + 273.15) / molarDensity(gas, 1, 288.15);
  return cylinderContent(volume, pressure, temperature) * (times(mixture) / times({ Ar: 1 }));
}

/**
 * {@link mixtureContent}, but argon by its own equation, which reaches further.
 *
 * @returns m3 at 15 degC and 1 bar
 * @throws {BeadbenchError} `bad-argument` for a number or a share outside its bounds, naming them
 * @example gasInCylinder({ Ar: 1 }, { volume: 50, pressure: 200 }) // => 10.67
 */
export function gasInCylinder(
  mixture: GasMixture,
  cylinder: { readonly volume: number; readonly pressure: number; readonly temperature?: number },
): number {
  return mixture.Ar === 1
    ? cylinderContent(cylinder.volume, cylinder.pressure, cylinder.temperature)
    : mixtureContent(mixture, cylinder);
}

/** mol/m3 by Peng and Robinson's equation, of a gas. */
function molarDensity(mixture: GasMixture, pressure: number, kelvin: number): number {
  let [root, b] = [0, 0];
  for (const [gas, share] of Object.entries(mixture)) {
    const [critical, criticalPressure, acentric] = constants[gas as MixedGas];
    const slope = 0.37464 + 1.54226 * acentric - 0.26992 * acentric ** 2;
    const alpha = (1 + slope * (1 - Math.sqrt(kelvin / critical))) ** 2;
    root += share * Math.sqrt((0.45724 * (GAS_CONSTANT * critical) ** 2 * alpha) / (criticalPressure * 1e5));
    b += (share * 0.0778 * GAS_CONSTANT * critical) / (criticalPressure * 1e5);
  }
  const a = root ** 2;
  const excess = (density: number): number => {
    const v = 1 / density;
    return (GAS_CONSTANT * kelvin) / (v - b) - a / (v * v + 2 * b * v - b * b) - pressure * 1e5;
  };
  return findRoot({ f: excess, lower: 1e-6, upper: 0.999 / b }).x;
}
