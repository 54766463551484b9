import type { Model } from "../../regression/index.js";

/** `additive`: a reading scatters alike at every value; `proportional`: in proportion to it, so logarithms are fitted. */
export type DecayScatter = "additive" | "proportional";

/** How the readings of a decay are fitted. */
export interface DecayForm {
  readonly scatter: DecayScatter;
  /** Value the decay settles at, when it is known. */
  readonly floor?: number;
}

type CurveParameters = readonly [floor: number, own: number, rate: number];

/** A curve of time with a floor, one parameter of its own, and a rate. */
interface Curve {
  readonly parameters: readonly [floor: "floor", own: string, rate: "rate"];
  value(at: CurveParameters, time: number): number;
  /** Derivatives by floor, own parameter and rate. */
  slopes(at: CurveParameters, time: number): CurveParameters;
}

const plain: Curve = {
  parameters: ["floor", "rise", "rate"],
  value: ([floor, rise, rate], t) => floor + rise * Math.exp(-rate * t),
  slopes([_floor, rise, rate], t) {
    const e = Math.exp(-rate * t);
    return [1, e, -rise * t * e];
  },
};

/** The same curve by the time at which it crosses a level: a profile of that time is then one of a parameter. */
const crossing = (level: number): Curve => ({
  parameters: ["floor", "crossing", "rate"],
  value: ([floor, at, rate], t) => floor + (level - floor) * Math.exp(-rate * (t - at)),
  slopes([floor, at, rate], t) {
    const e = Math.exp(-rate * (t - at));
    return [1 - e, (level - floor) * rate * e, -(level - floor) * (t - at) * e];
  },
});

/** The curve as a model of one column, time: its floor held when known, its logarithm when scatter is proportional. */
function asModel(curve: Curve, { scatter, floor: known }: DecayForm): Model {
  const skip = known === undefined ? 0 : 1;
  const all = (theta: readonly number[]): CurveParameters =>
    known === undefined ? [theta[0]!, theta[1]!, theta[2]!] : [known, theta[0]!, theta[1]!];
  const log = scatter === "proportional";
  const parameters = curve.parameters.slice(skip);
  return {
    parameters,
    linearIn: log || curve !== plain ? [] : parameters.slice(0, -1),
    predict(theta, [time]) {
      const value = curve.value(all(theta), time!);
      return log ? Math.log(value) : value;
    },
    gradient(theta, [time]) {
      const slopes = curve.slopes(all(theta), time!).slice(skip);
      if (!log) return slopes;
      const value = curve.value(all(theta), time!);
      return slopes.map((slope) => slope / value);
    },
  };
}

/**
 * Exponential decay to a floor, with the parameters `floor` (unless known), `rise` and `rate`.
 *
 *     value = floor + rise exp(-rate t)
 */
export const decayModel = (form: DecayForm): Model => asModel(plain, form);

/** {@link decayModel} with the time at which it crosses a level, `crossing`, in place of the rise. */
export const crossingModel = (form: DecayForm, level: number): Model => asModel(crossing(level), form);
