import type { Model } from "../common/index.js";

/**
 * The model y = x . beta behind {@link fitLinear}, for the functions that ask for a model.
 * Rows of x hold one value per parameter, a 1 where an intercept is wanted.
 */
export function linearModel(names: readonly string[]): Model {
  return {
    parameters: names,
    linearIn: names,
    predict(theta, x) {
      let sum = 0;
      for (let j = 0; j < names.length; j++) sum += theta[j]! * x[j]!;
      return sum;
    },
    gradient: (_theta, x) => x,
  };
}
