import { requireThat } from "../../errors/index.js";
import type { Axis, Settings } from "../region/index.js";
import type { Basis, NonlinearPlanModel } from "./basis.js";

/** Settings at a coded row: the inverse of the coding, without snapping to steps. */
function settingsFromCoded(axes: readonly Axis[], row: ArrayLike<number>): Settings {
  return Object.fromEntries(
    axes.map((axis, j) => {
      const x = row[j]!;
      if (axis.category) return [axis.name, axis.values[x]!];
      return [axis.name, axis.low + ((x + 1) / 2) * (axis.high - axis.low)];
    }),
  );
}

/** Gradient of a nonlinear model in its parameters, by central differences, at each row of parameters. */
export function nonlinearBasis(axes: readonly Axis[], model: NonlinearPlanModel): Basis {
  const { predict, parameters, names } = model;
  const size = parameters[0]?.length ?? 0;
  requireThat(
    size > 0 && parameters.every((row) => row.length === size && row.every(Number.isFinite)),
    "a nonlinear model needs at least one row of parameters, all rows finite and equally long",
  );
  const shift = Math.cbrt(Number.EPSILON);
  const words = names ?? Array.from({ length: size }, (_, j) => `theta${j + 1}`);
  return {
    names: words,
    groups: words.map((name, j) => ({ name, columns: [j], axes: [], effects: [] })),
    size,
    copies: parameters.length,
    fill(row, out) {
      const settings = settingsFromCoded(axes, row);
      for (const [copy, theta] of parameters.entries()) {
        const moved = [...theta];
        for (let j = 0; j < size; j++) {
          const h = shift * Math.max(Math.abs(theta[j]!), 1e-3);
          moved[j] = theta[j]! + h;
          const up = predict(settings, moved);
          moved[j] = theta[j]! - h;
          out[copy * size + j] = (up - predict(settings, moved)) / (2 * h);
          moved[j] = theta[j]!;
        }
      }
    },
  };
}
