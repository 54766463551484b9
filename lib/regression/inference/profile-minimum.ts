import { onlyDefined } from "../../errors/index.js";
import type { Bounds, ConvergedFit, Model } from "../common/index.js";
import { fitNonlinear } from "../nonlinear/index.js";
import type { Minimum } from "./held-fits.js";

/** The lowest minimum reached from some points; undefined when none of them leads to one. */
export function minimumFrom({
  fit,
  model,
  bounds,
  points,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly bounds: Bounds | undefined;
  readonly points: readonly (readonly number[])[];
}): Minimum | undefined {
  if (points.length === 0) return undefined;
  const found = fitNonlinear(fit.observations, model, {
    start: points,
    starts: 0,
    ...onlyDefined({ bounds }),
  });
  return found.status === "converged" ? found : undefined;
}
