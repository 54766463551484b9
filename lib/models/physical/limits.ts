import { BeadbenchError, ownValue } from "../../errors/index.js";
import type { DefinedStudy, Limit, StudyDefinition } from "../../study/index.js";
import { suggestion } from "../../study/shape/index.js";
import { convert, kindFault, sameDimension } from "../../units/index.js";
import { isPhysicalQuantity, physicalSettingOf, physicalUnits, type Settings } from "../settings/index.js";
import { type DerivedQuantityName, derivedQuantities, derivedQuantity, rigPhysics } from "./derived.js";

/** A study's limit as a function of the settings; compatible with the limits of designs. */
export interface SettingLimit {
  readonly name: string;
  readonly unit?: string;
  readonly value: (settings: Settings) => number;
  readonly min?: number;
  readonly max?: number;
}

/**
 * The study's limits as functions, each in its own unit.
 *
 * @throws {BeadbenchError} `bad-study` for a quantity that cannot be derived from this study's settings
 */
export function settingLimits({ definition }: DefinedStudy): readonly SettingLimit[] {
  const physics = rigPhysics({ definition });
  return definition.limits.map((limit) => {
    const bounds = {
      ...(limit.min === undefined ? {} : { min: limit.min }),
      ...(limit.max === undefined ? {} : { max: limit.max }),
    };
    if ("terms" in limit) {
      return {
        name: limit.name ?? linearName(limit.terms),
        ...bounds,
        value: (s) => linearValue(limit.terms, s),
      };
    }
    const { quantity, unit } = limit;
    const raw = quantityValue(definition, limit);
    const middle = raw(middleOf(definition), physics);
    const names = [...Object.keys(derivedQuantities), ...Object.keys(physicalUnits)];
    if (!names.includes(quantity)) {
      throw new BeadbenchError(
        "bad-study",
        `study.json: limit on "${quantity}": no such quantity is known${suggestion(quantity, names)}; known are ${names.join(", ")}`,
      );
    }
    const known = canonicalUnit(quantity);
    if (!sameDimension(unit, known)) {
      throw new BeadbenchError(
        "bad-study",
        `study.json: limit on "${quantity}", unit ${unit} ${kindFault(unit, known)}`,
      );
    }
    if (middle === undefined) {
      throw new BeadbenchError(
        "bad-study",
        `study.json: limit on "${quantity}" cannot be computed: add the settings it needs as factors or under rig.settings; quantities known are ${Object.keys(derivedQuantities).join(", ")} and any setting the rig holds`,
      );
    }
    const canonical = canonicalUnit(quantity);
    return {
      name: quantity,
      unit,
      ...bounds,
      value: (s) => convert(raw(s, physics) ?? Number.NaN, canonical, unit),
    };
  });
}

type Raw = (settings: Settings, physics: ReturnType<typeof rigPhysics>) => number | undefined;

function quantityValue(definition: StudyDefinition, limit: Limit & { readonly quantity: string }): Raw {
  const { quantity } = limit;
  if (Object.hasOwn(derivedQuantities, quantity)) {
    return (settings, physics) =>
      derivedQuantity(quantity as DerivedQuantityName, physicalSettingOf({ definition }, settings), physics);
  }
  if (isPhysicalQuantity(quantity))
    return (settings) => physicalSettingOf({ definition }, settings)[quantity];
  return () => undefined;
}

function canonicalUnit(quantity: string): string {
  return isPhysicalQuantity(quantity)
    ? physicalUnits[quantity]
    : derivedQuantities[quantity as DerivedQuantityName].unit;
}

function middleOf(definition: StudyDefinition): Settings {
  return Object.fromEntries(
    definition.factors.map((factor) => [
      factor.name,
      factor.kind === "category" ? String(factor.levels?.[0]) : (factor.low + factor.high) / 2,
    ]),
  );
}

function linearName(terms: Readonly<Record<string, number>>): string {
  return Object.entries(terms)
    .map(([name, coefficient]) => `${coefficient} ${name}`)
    .join(" + ");
}

function linearValue(terms: Readonly<Record<string, number>>, settings: Settings): number {
  return Object.entries(terms).reduce((sum, [name, coefficient]) => {
    const value = ownValue(settings, name);
    return typeof value === "number" ? sum + coefficient * value : Number.NaN;
  }, 0);
}
