import { makeAxes, meetsLimits } from "../../design/index.js";
import { onlyDefined, ownValue } from "../../errors/index.js";
import {
  type DerivedQuantityName,
  derivedQuantities,
  knownQuantity,
  physicalSettingOf,
  rigPhysics,
  type SettingLimit,
  type Settings,
  settingLimits,
} from "../../models/index.js";
import type { Coupon, Quantity, Study, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import type { Recommendation } from "../../window/index.js";
import { cautionsFor } from "./cautions.js";
import { doubtMark } from "./doubts.js";
import {
  PRESET_SCHEMA,
  type Preset,
  type PresetLimit,
  type PresetSchedule,
  type PresetSetting,
} from "./preset.js";
import { reviewOf } from "./review.js";
import { isSequenceName, type StartStop, startAndStop } from "./sequence.js";
import { VERSION } from "./version.js";

/**
 * Turns a recommendation into a preset: settings with units, steps and allowances, start and stop, predictions with intervals,
 * limits that bind, cautions, and from which state of the journal it was made. One that is in doubt ({@link presetDoubts}) is
 * marked so beside every number. Plain data; {@link formatPreset} writes it.
 *
 * @param made - time that stands in the preset
 */
export function makePreset(study: Study, recommendation: Recommendation, made: Date): Preset {
  const { definition, entries, coupons } = study;
  const { conformance, settings, predicted, ranges } = recommendation;
  const { process, wire, base, gas, rig } = definition;
  const last = entries.at(-1);
  const at = Object.fromEntries(settings.map(({ factor, value }) => [factor, value]));
  const quantities = Object.fromEntries(
    settings.flatMap(({ factor, value, unit }) =>
      typeof value === "number" ? [[factor, { value, unit }] as const] : [],
    ),
  );
  const preset: Preset = {
    schema: PRESET_SCHEMA,
    study: definition.name,
    process,
    ...onlyDefined({ wire, base, gas, rig: rig?.name }),
    made: made.toISOString(),
    review: reviewOf(made),
    basis: {
      coupons: recommendation.coupons,
      ...onlyDefined({ journal: last?.hash }),
      seed: recommendation.seed,
      model: `outcome model, beadbench ${VERSION}`,
    },
    settings: settings.map(({ factor, value, unit }) => {
      const step = definition.factors.find(({ name }) => name === factor)?.step;
      return { name: factor, value, unit, ...onlyDefined({ step }), tried: triedAt(coupons, factor) };
    }),
    held: Object.entries(rig?.settings ?? {}).flatMap(([name, quantity]) =>
      isSequenceName(name) ? [] : [{ name, ...quantity }],
    ),
    sequence: studySequence(definition, quantities),
    derived: derivedAt(definition, at),
    predicted: predicted.map(({ response, unit, median, lower, upper, chance }) => ({
      name: response,
      unit,
      median,
      lower,
      upper,
      chance,
    })),
    checks: Object.entries(conformance.perCheck).map(([name, good]) => ({ name, chance: good })),
    chance: { value: conformance.chance, lower: conformance.interval[0], upper: conformance.interval[1] },
    window: {
      asked: recommendation.asked,
      level: recommendation.level,
      reached: recommendation.reached,
      ranges: ranges.map(({ factor, unit, low, high, aloneLow, aloneHigh }) => ({
        name: factor,
        unit,
        low,
        high,
        alone: { low: aloneLow, high: aloneHigh },
      })),
    },
    limits: limitsAt(definition, at),
    findings: recommendation.findings,
    cautions: cautionsFor(process),
  };
  return markedPreset(preset);
}

/** Start and stop of a study's arc at some settings. */
export const studySequence = (
  { process, wire, rig }: StudyDefinition,
  settings: Readonly<Record<string, Quantity>>,
): StartStop => startAndStop(process, { wire: wire !== undefined, settings, rig: rig?.settings ?? {} });

/** A preset with the layers of a wall or ring that `planWall` scheduled for it. */
export function withSchedule(
  preset: Preset,
  { layers, path, settings, interpass, relevelEvery }: PresetSchedule,
): Preset {
  return { ...preset, schedule: { layers, path, settings, interpass, relevelEvery } };
}

/** A preset with its doubts beside every number that could go to a rig or be believed; without any where it is in none. */
export function markedPreset(preset: Preset): Preset {
  const mark = doubtMark(preset);
  const put = <T extends { readonly mark?: string }>(list: readonly T[]): readonly T[] =>
    list.map(({ mark: _, ...one }) => ({ ...one, ...onlyDefined({ mark }) }) as T);
  return {
    ...preset,
    settings: put(preset.settings),
    held: put<PresetSetting>(preset.held),
    sequence: { start: put(preset.sequence.start), stop: put(preset.sequence.stop) },
    predicted: put(preset.predicted),
    window: { ...preset.window, ranges: put(preset.window.ranges) },
  };
}

/** The least and the largest number a factor was run at, or the levels of a category. */
function triedAt(coupons: readonly Coupon[], factor: string): readonly (number | string)[] {
  const run = coupons.flatMap(({ state, settings }) =>
    state === "logged" ? (ownValue(settings, factor) ?? []) : [],
  );
  const numbers = run.flatMap((value) => (typeof value === "number" ? [value] : []));
  return numbers.length > 0 ? [Math.min(...numbers), Math.max(...numbers)] : [...new Set(run)].sort();
}

/** What a procedure and its reader ask for beside settings, in the unit it is told in. */
const told = {
  arc_energy: "kJ/mm",
  heat_input: "kJ/mm",
  bead_area: "mm2",
  deposition_rate: "kg/h",
} as const satisfies Partial<Record<DerivedQuantityName, string>>;

function derivedAt(definition: StudyDefinition, at: Settings): Preset["derived"] {
  const physics = rigPhysics({ definition });
  const setting = physicalSettingOf({ definition }, at);
  return (Object.keys(told) as (keyof typeof told)[]).flatMap((name) => {
    const value = knownQuantity(name, setting, physics);
    return value === undefined
      ? []
      : [{ name, value: convert(value, derivedQuantities[name].unit, told[name]), unit: told[name] }];
  });
}

/** The study's limits where the preset stands, and whether the next step of any setting breaks them. */
function limitsAt(definition: StudyDefinition, at: Settings): readonly PresetLimit[] {
  const neighbours = makeAxes(definition.factors).flatMap(({ name, values, category }) => {
    if (category) return [];
    const here = Number(ownValue(at, name));
    const below = values.filter((value) => Number(value) < here).at(-1);
    const above = values.find((value) => Number(value) > here);
    return [below, above].flatMap((value) => (value === undefined ? [] : [{ ...at, [name]: value }]));
  });
  const binds = (limit: SettingLimit): boolean =>
    neighbours.some((settings) => !meetsLimits([limit], settings));
  return settingLimits({ definition }).flatMap((limit) => {
    const { name, unit = "1", min, max } = limit;
    const value = limit.value(at);
    return Number.isFinite(value)
      ? [{ name, unit, value, ...onlyDefined({ min, max }), binds: binds(limit) }]
      : [];
  });
}
