import { BeadbenchError, type Finding } from "../../errors/index.js";
import { fitDrift, forecastStandoff, type LayerReading, type StandoffForecast } from "../../models/index.js";
import { percent, significant } from "../../numeric/index.js";
import { FIRST_LAYERS } from "../../process/index.js";
import { type BuildPlan, isLevelled, NO_TOUCH, type PlannedStandoff, planLayer } from "../build/index.js";
import type { BuildReading } from "./readings.js";

/** Where the stand-off goes from the readings of this build, till it is levelled next or the build ends. */
export interface StandoffAhead {
  /** Readings it rests on. */
  readonly readings: number;
  /** Layer before which the forecast ends, and whether the plan levels there. */
  readonly until: number;
  readonly levelled: boolean;
  /** Before each layer to come, mm. */
  readonly bands: readonly PlannedStandoff[];
  /** Of the bands. */
  readonly level: number;
  /** Chance of touching, and of leaving what arc and gas cover bear, before it ends; null where nobody said where that is. */
  readonly touch: number;
  readonly tooLong: number | null;
}

/** Layers ahead that a drift is foreseen at least; at most as many as it was read over: heat and corners change it. */
const NEAREST = 10;
/** A chance of touching or losing the arc above which to do something about it. */
const WORTH_A_WORD = 0.05;

/** Stand-off the plan sets before a layer, mm. */
const wantedAt = ({ standoff, build: { setting } }: BuildPlan, layer: number): number | undefined =>
  standoff.find((band) => band.layer === layer)?.expected ?? setting.standoff ?? setting.contact_tip_distance;

/**
 * Foresees the stand-off from the readings logged while a build runs: growth and its answer to the stand-off are fitted to
 * them, the rises to come are the plan's.
 *
 * @param readings - stand-offs read after layers, and what they were set to where they were set anew
 * @returns null where no rise is planned, or too few readings follow on each other
 */
export function standoffAhead(
  plan: BuildPlan,
  {
    read,
    set,
    seed,
  }: { readonly read: readonly BuildReading[]; readonly set: readonly BuildReading[]; readonly seed: number },
): StandoffAhead | null {
  const log = layerLog(plan, read, set);
  const [first, last] = [log[0]?.layer, log.at(-1)?.layer];
  if (first === undefined || last === undefined) return null;
  const end = Math.min(plan.outline.layers.length, last + Math.max(NEAREST, last - first));
  const next = Array.from({ length: end - last }, (_, i) => last + 1 + i).find((layer) =>
    isLevelled(plan, layer),
  );
  const until = next ?? end;
  const rises = Array.from({ length: until - last }, (_, i) => riseBefore(plan, last + 1 + i));
  if (rises.length === 0 || rises.some((rise) => rise === undefined)) return null;
  const { touch = NO_TOUCH.at, tooLong } = plan.held ?? {};
  const forecast = foreseen(log, {
    layers: rises.length,
    rise: rises.map((rise) => rise!),
    touch,
    ...(tooLong === undefined ? {} : { tooLong }),
    gaugeSd: plan.assumptions.gauge_sd.value,
    seed,
  });
  if (forecast === undefined) return null;
  return {
    readings: log.filter(({ standoff }) => standoff !== null).length,
    until,
    levelled: next !== undefined,
    bands: forecast.bands.map(({ layer, expected, low, high }) => ({ layer, expected, low, high })),
    level: forecast.level,
    touch: forecast.touch.chance,
    tooLong: forecast.tooLong?.chance ?? null,
  };
}

/** A log too short, or one that ends beyond a limit, foretells nothing. */
function foreseen(
  log: readonly LayerReading[],
  { gaugeSd, ...options }: Parameters<typeof forecastStandoff>[1] & { readonly gaugeSd: number },
): StandoffForecast | undefined {
  try {
    return forecastStandoff(fitDrift(log, { gaugeSd }), options);
  } catch (error) {
    if (error instanceof BeadbenchError) return undefined;
    throw error;
  }
}

const riseBefore = (plan: BuildPlan, layer: number): number | undefined =>
  planLayer(plan, layer).rise ?? plan.rise;

/**
 * The readings as a layer log, from the last place on before which the torch moved by an unknown amount: a levelling
 * without a reading before it.
 */
function layerLog(
  plan: BuildPlan,
  read: readonly BuildReading[],
  set: readonly BuildReading[],
): readonly LayerReading[] {
  // What is read after a layer is where the next one begins.
  const before = (list: readonly BuildReading[]) =>
    new Map(list.map(({ layer, value }) => [layer + 1, value]));
  const [measured, setTo] = [before(read), before(set)];
  const last = Math.max(0, ...measured.keys(), ...setTo.keys());
  let log: LayerReading[] = [];
  for (let layer = FIRST_LAYERS + 1; layer <= last; layer++) {
    const planned = isLevelled(plan, layer) ? wantedAt(plan, layer) : undefined;
    const wanted = setTo.get(layer) ?? planned;
    const standoff = measured.get(layer);
    const rise = riseBefore(plan, layer + 1);
    if (rise === undefined && layer < last) return [];
    // Set anew without a reading: all before it tells nothing of what comes, and what it was set to is the first reading.
    if (wanted !== undefined && standoff === undefined) log = [{ layer, standoff: wanted, rise: rise ?? 0 }];
    else
      log.push({
        layer,
        standoff: standoff ?? null,
        rise: (rise ?? 0) + (wanted === undefined || standoff === undefined ? 0 : wanted - standoff),
      });
  }
  return log;
}

/** What to do about where the stand-off goes. */
export function standoffAheadFindings(
  ahead: StandoffAhead | null,
  touchAt: number | undefined,
): readonly Finding[] {
  if (ahead === null) return [];
  const { touch, tooLong, bands, until } = ahead;
  const worst = Math.max(touch, tooLong ?? 0);
  if (worst <= WORTH_A_WORD) return [];
  const touches = touch >= (tooLong ?? 0);
  const first = touches ? bands.find(({ low }) => low <= (touchAt ?? NO_TOUCH.at)) : undefined;
  const end = bands.at(-1)!;
  return [
    {
      code: touches ? "standoff-heads-for-touch" : "standoff-heads-too-long",
      severity: "warning",
      message: `by its readings the stand-off comes to ${significant(end.expected)} mm before layer ${until} (${significant(end.low)} to ${significant(end.high)}); chance that the ${touches ? "torch touches" : "arc stretches too long"} till then ${percent(worst)}`,
      advice: `measure and set it anew before layer ${first?.layer ?? until}, and log it: standoff_set="..."`,
    },
  ];
}
