import { BeadbenchError, ownValue } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import { fitLinear, linearModel } from "../../regression/index.js";
import type { DefinedStudy, StudyDefinition } from "../../study/index.js";
import {
  derivedQuantities,
  knownQuantity,
  neededFor,
  type RigPhysics,
  rigPhysics,
} from "../physical/index.js";
import { physicalSettingOf, physicalUnits, type Settings } from "../settings/index.js";
import { DEFAULT_LEVEL } from "./form.js";
import { type PowerLawTerm, powerLawRow, powerLawTerms, termName } from "./power-law-data.js";
import { type RegressionForm, regressionForm, requireSpare } from "./regression-form.js";
import type { ResponseData } from "./response-data.js";
import { responseScale } from "./response-scale.js";
import { vagueExponents } from "./vague-exponents.js";

/** Physical quantities the bead may answer to, in the order they are tried. */
export const energyQuantities = [
  "arc_energy",
  "bead_area",
  "standoff",
  "stickout",
  "contact_tip_distance",
] as const;
/** A quantity the bead may answer to. */
export type EnergyQuantity = (typeof energyQuantities)[number];

/** A power of a physical quantity, or a level of a category. */
export type EnergyTerm =
  | {
      /** As reports call it: the fed area is the derived quantity bead_area. */
      readonly name: string;
      readonly quantity: EnergyQuantity;
      readonly unit: string;
      readonly reference: number;
    }
  | { readonly category: PowerLawTerm };

/** A response as powers of arc energy, fed area and the distance of the torch. */
export interface EnergyBalanceFit extends RegressionForm {
  readonly form: "energy-balance";
  readonly terms: readonly EnergyTerm[];
}

/**
 * Fits a response to what physics says the bead is made by, instead of to each setting:
 *
 *     y = y0 (E / Eref)^a (A / Aref)^b (s / sref)^c,   E = U I / v,   A = phi A_w f / v
 *
 * with s the stand-off or tip distance where it varies, and a factor per level of a category. The share of arc
 * power spent on the wire adds nothing: its logarithm is ln A - ln E and a constant. The form is worth trying
 * when it has fewer coefficients than the power law; it misleads where a setting acts beyond energy and wire, such
 * as gas or dwell, or travel speed at unlike speeds of heat flow.
 *
 * Physics is taken from the settings alone, as for a prediction; without an arc voltage the usual one stands in.
 *
 * @throws {BeadbenchError} `not-enough-data` when the physics of a coupon is not known or no coefficient is saved
 * @source physics of arc energy and mass balance; heat flow makes the width a power of E between limits
 */
export function fitEnergyBalance(
  { definition }: DefinedStudy,
  data: ResponseData,
  level = DEFAULT_LEVEL,
): EnergyBalanceFit {
  const { response, scale, settings } = data;
  if (scale === "linear") {
    throw new BeadbenchError("not-enough-data", `${response}: values of 0 or below follow no power law`);
  }
  const powers = powerLawTerms(definition, settings);
  const terms = energyTerms(definition, data, powers.terms);
  if (terms.length >= powers.terms.length) {
    throw new BeadbenchError(
      "not-enough-data",
      `${response}: arc energy, fed area and distances save no coefficient against the ${powers.terms.length} settings that vary`,
    );
  }
  requireSpare({
    response,
    coupons: data.y.length,
    parameters: terms.length + 1,
    what: `an energy balance of ${terms.length} quantities`,
  });
  const row = energyRow(definition, terms);
  const names = ["ln y0", ...terms.map((term) => ("category" in term ? termName(term.category) : term.name))];
  const x = settings.map((setting) => [1, ...row(setting)]);
  const fit = fitLinear({ x, y: data.y.map(responseScale(scale, data.unit).forward) }, { names });
  const ranges = powers.terms.flatMap(({ factor, level: category }) => {
    const values = settings.map((setting) => Number(ownValue(setting, factor)));
    return category === undefined ? [{ factor, low: Math.min(...values), high: Math.max(...values) }] : [];
  });
  const form = regressionForm(data, {
    form: "energy-balance",
    fitScale: scale,
    model: linearModel(names),
    fit,
    reference: [1, ...terms.map(() => 0)],
    held: powers.held,
    ranges,
    level,
    shifts: true,
  });
  return {
    ...form,
    terms,
    findings: [...form.findings, ...vagueExponents(response, form.coefficients)],
  };
}

function energyTerms(
  definition: StudyDefinition,
  { response, settings }: ResponseData,
  powers: readonly PowerLawTerm[],
): readonly EnergyTerm[] {
  const physics = rigPhysics({ definition });
  const terms: EnergyTerm[] = [];
  for (const quantity of energyQuantities) {
    const values = settings.map((setting) =>
      quantityOf({ definition, physics, quantity, settings: setting }),
    );
    const needed = quantity === "arc_energy" || quantity === "bead_area";
    if (needed && !values.every((value) => value > 0)) {
      throw new BeadbenchError(
        "not-enough-data",
        `${response}: the settings do not tell the ${quantity.replace("_", " ")} of every coupon (${neededFor(quantity, physics).join(", ")})`,
      );
    }
    const logs = values.map(Math.log);
    // Nearly the same everywhere is the same everywhere: rounding alone moves a logarithm by 1e-15.
    if (!logs.every(Number.isFinite) || Math.max(...logs) - Math.min(...logs) < 1e-9) continue;
    const name = quantity === "bead_area" ? "fed_area" : quantity;
    terms.push({ name, quantity, unit: unitOf(quantity), reference: Math.exp(mean(logs)) });
  }
  const categories = powers.filter(({ level }) => level !== undefined).map((category) => ({ category }));
  return [...terms, ...categories];
}

const isDerived = (quantity: EnergyQuantity): quantity is "arc_energy" | "bead_area" =>
  Object.hasOwn(derivedQuantities, quantity);

const unitOf = (quantity: EnergyQuantity): string =>
  isDerived(quantity) ? derivedQuantities[quantity].unit : physicalUnits[quantity];

function quantityOf({
  definition,
  physics,
  quantity,
  settings,
}: {
  readonly definition: StudyDefinition;
  readonly physics: RigPhysics;
  readonly quantity: EnergyQuantity;
  readonly settings: Settings;
}): number {
  const setting = physicalSettingOf({ definition }, settings);
  const value = isDerived(quantity) ? knownQuantity(quantity, setting, physics) : setting[quantity];
  return value ?? Number.NaN;
}

/** A setting as a row of the regression, without the constant. */
export function energyRow(
  definition: StudyDefinition,
  terms: readonly EnergyTerm[],
): (settings: Settings) => readonly number[] {
  const physics = rigPhysics({ definition });
  return (settings) =>
    terms.map((term) =>
      "category" in term
        ? powerLawRow([term.category], settings)[0]!
        : Math.log(quantityOf({ definition, physics, quantity: term.quantity, settings }) / term.reference),
    );
}
