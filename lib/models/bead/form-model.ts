import { codedFromSettings } from "../../design/index.js";
import { linearModel, type Model } from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { surfaceRows } from "./coded-axes.js";
import { type EnergyBalanceFit, energyRow } from "./energy-balance.js";
import { powerLawModel, powerLawRow } from "./power-law-data.js";
import type { PowerLawFit } from "./power-law-fit.js";
import type { SurfaceFit } from "./surface.js";

/** The forms that are one regression. */
export type RegressionFit = PowerLawFit | EnergyBalanceFit | SurfaceFit;

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
    default: {
      const { axes } = form;
      const { row } = surfaceRows(axes, form.form);
      return {
        model: linearModel(form.fit.parameters),
        row: (settings) => row(codedFromSettings(axes, settings, "setting")),
      };
    }
  }
}
