import { ownValue, requireThat } from "../../errors/index.js";
import type { PhysicalSetting } from "../../models/settings/index.js";
import type { Assumptions } from "./assumptions.js";
import type { PartOutline } from "./outline.js";
import { type BuildSetting, buildSupplies, type LayerSetting, type Supplies } from "./supplies.js";

/** The value of `schema` in a build plan this version writes and reads. */
export const BUILD_PLAN_SCHEMA = "beadbench/build-plan/1";

/** Where a layer's stand-off is expected to be, mm. */
export interface PlannedStandoff {
  readonly layer: number;
  readonly expected: number;
  readonly low: number;
  readonly high: number;
}

/** What differs in a layer of a plan. */
export interface PlannedLayer extends LayerSetting {
  /** How far the torch is raised before it, mm. */
  readonly rise?: number;
  /** At which it is to begin, degC. */
  readonly temperature?: number;
}

/** A build to be run: what a forecast needs, and what the log of the build is held against. */
export interface BuildPlan {
  readonly schema: typeof BUILD_PLAN_SCHEMA;
  readonly study: string;
  /** RFC 3339. */
  readonly made: string;
  readonly build: BuildSetting;
  readonly outline: PartOutline;
  readonly assumptions: Assumptions;
  /** Of all prices assumed; absent where nobody named it. */
  readonly currency?: string;
  /** What differs in a layer, by its number. */
  readonly perLayer: Readonly<Record<string, PlannedLayer>>;
  /** Planned rise per layer where no layer says otherwise, mm. */
  readonly rise?: number;
  readonly standoff: readonly PlannedStandoff[];
  /** What the schedule keeps to: stand-offs at touch and too long, mm; interpass temperature, degC. */
  readonly held?: { readonly touch?: number; readonly tooLong?: number; readonly interpass?: number };
}

/**
 * Settings a build needs before anything can be added up.
 *
 * @throws {BeadbenchError} `bad-argument` naming what is missing
 */
export function requireBuildSetting(setting: PhysicalSetting): void {
  requireThat(
    setting.travel_speed !== undefined && setting.travel_speed > 0,
    'a build needs a travel speed above 0: name it, travel_speed="120 mm/min", or give a preset that sets it',
  );
}

/** What differs in a layer of a plan. */
export function planLayer(plan: BuildPlan, layer: number): PlannedLayer {
  return Object.hasOwn(plan.perLayer, String(layer)) ? ownValue(plan.perLayer, String(layer))! : {};
}

/** Whether the plan measures and sets the stand-off before a layer. */
export function isLevelled(plan: BuildPlan, layer: number): boolean {
  const every = plan.assumptions.relevel_every.value;
  return layer > 1 && (planLayer(plan, layer).relevel ?? (every > 0 && (layer - 1) % every === 0));
}

/**
 * What a planned build takes from start to end, without stops.
 *
 * @throws {BeadbenchError} `bad-argument` without a travel speed
 */
export function planSupplies(plan: BuildPlan): Supplies {
  const { outline, build, assumptions } = plan;
  return buildSupplies({ outline, build, assumptions, perLayer: (layer) => planLayer(plan, layer) });
}
