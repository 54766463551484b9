import type { Settings } from "../../design/region/index.js";
import { ownValue } from "../../errors/index.js";
import { median } from "../../numeric/figures/index.js";
import type {
  Coupon,
  DefinedStudy,
  Factor,
  Quantity,
  StudyData,
  StudyDefinition,
} from "../../study/index.js";
import {
  type NamedQuantity,
  type PhysicalQuantity,
  type PhysicalSetting,
  physicalSetting,
} from "./physical-setting.js";

export type { Settings };

function constants(definition: StudyDefinition): NamedQuantity[] {
  return [
    ...(definition.wire === undefined ? [] : [{ name: "wire_diameter", ...definition.wire.diameter }]),
    ...(definition.gas?.flow === undefined ? [] : [{ name: "gas_flow", ...definition.gas.flow }]),
    ...named(definition.rig?.settings ?? {}),
  ];
}

function named(quantities: Readonly<Record<string, Quantity>>): NamedQuantity[] {
  return Object.entries(quantities).map(([name, quantity]) => ({ name, ...quantity }));
}

function ofFactors(factors: readonly Factor[], settings: Settings): NamedQuantity[] {
  return factors.flatMap(({ name, unit }) => {
    const value = ownValue(settings, name);
    return typeof value === "number" ? [{ name, unit, value }] : [];
  });
}

/** The physics' view of a setting that may not have been run: the rig's constants and the factors. */
export function physicalSettingOf({ definition }: DefinedStudy, settings: Settings): PhysicalSetting {
  return physicalSetting([...constants(definition), ...ofFactors(definition.factors, settings)]);
}

/**
 * What the rig usually held where no factor sets it: its constants, or rather the medians of what was logged
 * beside the factors, such as the arc voltage read at the torch.
 */
export function usualSetting({ definition, coupons }: StudyData): PhysicalSetting {
  const logged = coupons
    .filter(({ state }) => state === "logged")
    .map(({ context }) => physicalSetting(named(context)));
  const names = new Set(logged.flatMap((context) => Object.keys(context) as PhysicalQuantity[]));
  const medians = [...names].flatMap((name) => {
    const values = logged.flatMap((context) => context[name] ?? []);
    const middle = median(values);
    return middle > 0 ? [[name, middle] as const] : [];
  });
  return { ...physicalSettingOf({ definition }, {}), ...Object.fromEntries(medians) };
}

/** The physics' view of a coupon as run: what was logged beside the factors (its context) wins. */
export function physicalSettingOfCoupon({ definition }: DefinedStudy, coupon: Coupon): PhysicalSetting {
  return physicalSetting([
    ...constants(definition),
    ...ofFactors(definition.factors, coupon.settings),
    ...named(coupon.context),
  ]);
}
