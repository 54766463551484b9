import type { Model } from "../common/index.js";

/** A model with one parameter held at a value that can be set. */
export interface HeldModel {
  /** The model in the other parameters. */
  readonly model: Model;
  /** Their places in the whole model. */
  readonly others: readonly number[];
  hold(value: number): void;
}

/** The model with parameter j held; linear parameters of the whole model, where declared, stay so. */
export function holdParameter(model: Model, j: number): HeldModel {
  const full = new Array<number>(model.parameters.length).fill(0);
  const others = model.parameters.map((_, k) => k).filter((k) => k !== j);
  const spread = (theta: readonly number[]): number[] => {
    for (let k = 0; k < others.length; k++) full[others[k]!] = theta[k]!;
    return full;
  };
  const { gradient } = model;
  return {
    model: {
      parameters: others.map((k) => model.parameters[k]!),
      predict: (theta, x) => model.predict(spread(theta), x),
      ...(gradient === undefined
        ? {}
        : {
            gradient(theta, x) {
              const partials = gradient.call(model, spread(theta), x);
              return others.map((k) => partials[k]!);
            },
          }),
    },
    others,
    hold: (value) => {
      full[j] = value;
    },
  };
}
