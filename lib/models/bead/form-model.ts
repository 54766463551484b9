import { codedFromSettings } from "../../design/index.js";
import { settingDigits } from "../../numeric/index.js";
import { linearModel, type Model } from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import type { Settings } from "../settings/index.js";
import { surfaceRows } from "./coded-axes.js";
import { type EnergyBalanceFit, energyRow, fitEnergyBalance } from "./energy-balance.js";
import type { RegressionName } from "./form-rules.js";
import { powerLawModel, powerLawRow, withPowerLawRows } from "./power-law-data.js";
import { fitBetterPowerLaw, fitPowerLaw, type PowerLawFit } from "./power-law-fit.js";
import type { ResponseData } from "./response-data.js";
import { fitSurface, type SurfaceFit } from "./surface.js";

/** The forms that are one regression. */
export type RegressionFit = PowerLawFit | EnergyBalanceFit | SurfaceFit;

/** What a form is fitted to. */
export interface FormWork extends DefinedStudy {
  readonly data: ResponseData;
  readonly level: number;
}

/** Fits a form by its name. */
export function fitForm(name: RegressionName, { definition, data, level }: FormWork): RegressionFit {
  switch (name) {
    case "energy-balance":
      return fitEnergyBalance({ definition }, data, level);
    case "power-law":
      return fitBetterPowerLaw(withPowerLawRows(definition, data), level);
    case "linear":
    case "quadratic":
      return fitSurface({ definition }, { data, order: name, level });
    default:
      return unknownForm(name);
  }
}

/**
 * A form as a smooth departure may stand on it: as if there were no blocks, because a departure counts their shifts among
 * its scatter, and on the response's own scale where it is a power law.
 */
export function fitAsBase(form: RegressionFit, { definition, data, level }: FormWork): RegressionFit {
  const { blocks: _, ...rest } = data;
  if (form.form === "power-law" && form.fitScale !== data.scale)
    return fitPowerLaw(withPowerLawRows(definition, data), "proportional", level);
  if (form.shift === undefined) return form;
  if (form.form === "power-law")
    return fitPowerLaw(withPowerLawRows(definition, rest), "proportional", level);
  return fitForm(form.form, { definition, data: rest, level });
}

/** The regression model behind a form, and the row of regressors of a setting. */
export function formModel(
  { definition }: DefinedStudy,
  form: RegressionFit,
): { readonly model: Model; readonly row: (settings: Settings) => readonly number[] } {
  switch (form.form) {
    case "power-law":
      return {
        model: powerLawModel(form.terms, form.error === "proportional"),
        row: (settings) => powerLawRow(form.terms, settings),
      };
    case "energy-balance": {
      const row = energyRow(definition, form.terms);
      return { model: linearModel(form.fit.parameters), row: (settings) => [1, ...row(settings)] };
    }
    case "linear":
    case "quadratic": {
      const { axes } = form;
      const { row } = surfaceRows(axes, form.form);
      return {
        model: linearModel(form.fit.parameters),
        row: (settings) => row(codedFromSettings(axes, settings, "setting")),
      };
    }
    default:
      return unknownForm(form);
  }
}

/** The setting at which a form's value is told, as a sentence ends. */
export function referenceText(form: RegressionFit): string {
  const amount = (name: string, value: number, unit: string): string =>
    `${name} ${withUnit(settingDigits(value), unit)}`;
  switch (form.form) {
    case "power-law":
      return `at ${form.terms
        .filter(({ level }) => level === undefined)
        .map(({ factor, unit, reference }) => amount(factor, reference, unit))
        .join(", ")}`;
    case "energy-balance":
      return `at ${form.terms.flatMap((t) => ("quantity" in t ? [amount(t.name, t.reference, t.unit)] : [])).join(", ")}`;
    case "linear":
    case "quadratic":
      return `in the middle of ${form.axes.map(({ name, low, high, unit, category }) => (category ? name : `${name} ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}`)).join(", ")}`;
    default:
      return unknownForm(form);
  }
}

function unknownForm(form: never): never {
  throw new TypeError(`unknown form: ${JSON.stringify(form)}`);
}
