import {
  kindRules,
  type Response,
  type ResponseKind,
  type StudyDefinition,
} from "../../study/definition/index.js";
import { type Coupon, type DefinedStudy, measuredOf } from "../../study/record/index.js";

/** What the models make of a kind of response. */
interface ResponseRole {
  /** How the outcome model, and with it window, next and preset, takes it: a size with a scatter, or passed and failed. */
  readonly outcome: "dimension" | "check";
  /** How `fit` takes it: in the forms of a bead, by an ordered logit, or not, being left to the outcome model. */
  readonly fit: "forms" | "ordinal" | "none";
}

const roles: Readonly<Record<ResponseKind, ResponseRole>> = {
  measured: { outcome: "dimension", fit: "forms" },
  passFail: { outcome: "check", fit: "none" },
  grade: { outcome: "check", fit: "ordinal" },
};

/** Whether a response is modelled as a size. */
export function isDimension({ kind }: Response): boolean {
  return roles[kind].outcome === "dimension";
}

/** The responses modelled as sizes. */
export function dimensionsOf({ responses }: StudyDefinition): readonly Response[] {
  return responses.filter(isDimension);
}

/** Whether a coupon gave a size that the study measures; where it measures none, every coupon did. */
export function gaveDimensions({ definition }: DefinedStudy, coupon: Pick<Coupon, "results">): boolean {
  const dimensions = dimensionsOf(definition);
  return dimensions.length === 0 || dimensions.some(({ name }) => measuredOf(coupon, name) !== undefined);
}

/**
 * The responses modelled as passed or failed. One with grades or other numbers is passed when within its
 * specification; without limits nothing says what is good, and it is no check ({@link unlimited}).
 */
export function checksOf({ responses }: StudyDefinition): readonly Response[] {
  return responses.filter((response) => roles[response.kind].outcome === "check" && !isUnlimited(response));
}

/** The responses with numbers of which the study does not say which are good. */
export function unlimited({ responses }: StudyDefinition): readonly Response[] {
  return responses.filter(isUnlimited);
}

/** Whether a study says of no result which is good: then no setting is better than another. */
export function asksNothing(definition: StudyDefinition): boolean {
  return checksOf(definition).length === 0 && dimensionsOf(definition).every(isUnlimited);
}

function isUnlimited({ kind, spec }: Response): boolean {
  return kindRules(kind).spec && spec?.lower === undefined && spec?.upper === undefined;
}

/** The responses `fit` takes in one way. */
export function fittedBy({ responses }: StudyDefinition, way: ResponseRole["fit"]): readonly Response[] {
  return responses.filter(({ kind }) => roles[kind].fit === way);
}
