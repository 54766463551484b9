import {
  BeadbenchError,
  formatIssue,
  type Issue,
  type NumberBounds,
  ownValue,
  refusalOf,
  requireNumber,
} from "../../errors/index.js";
import { rounds } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";

/** What a number under `priors` in study.json must be. */
export interface PriorKind {
  readonly unit: string;
  readonly bounds: NumberBounds;
}

/** Handbook values that a study may replace under `priors`, beside the priors of the outcome model. */
export const handbookPriors = {
  deposition_efficiency: { unit: "1", bounds: { above: 0, max: 1 } },
  wire_enthalpy: { unit: "J/mm3", bounds: { above: 0 } },
  wire_density: { unit: "g/cm3", bounds: { above: 0 } },
} as const satisfies Readonly<Record<string, PriorKind>>;

/**
 * Returns a number that may stand in the place of a prior, in the prior's unit.
 *
 * @throws {BeadbenchError} `bad-argument` for any other
 */
export function requirePrior(name: string, value: number, { unit, bounds }: PriorKind): number {
  return requireNumber(name, value, unit === "1" ? bounds : { ...bounds, unit });
}

/** What is wrong with a study's number for a prior; undefined when nothing is, or it has none. */
export function priorFault(definition: StudyDefinition, name: string, kind: PriorKind): Issue | undefined {
  const found = ownValue(definition.priors, name);
  if (found === undefined) return undefined;
  const column = `priors.${name}`;
  if (!sameDimension(found.unit, kind.unit)) {
    const like = kind.unit === "1" ? "a number without a unit" : `a quantity in a unit like ${kind.unit}`;
    return { file: "study.json", column, message: `must be ${like}`, got: `${found.value} ${found.unit}` };
  }
  const value = rounds(convert(found.value, found.unit, kind.unit));
  const refusal = refusalOf(() => requirePrior(name, value, kind));
  return refusal && { file: "study.json", column, message: refusal.message };
}

/**
 * The number a study puts in the place of a prior, in the prior's unit.
 *
 * @throws {BeadbenchError} `bad-study` when it cannot stand there
 */
export function studyPrior(definition: StudyDefinition, name: string, kind: PriorKind): number | undefined {
  const fault = priorFault(definition, name, kind);
  if (fault !== undefined) throw new BeadbenchError("bad-study", formatIssue(fault), { issues: [fault] });
  const found = ownValue(definition.priors, name);
  return found === undefined ? undefined : convert(found.value, found.unit, kind.unit);
}
