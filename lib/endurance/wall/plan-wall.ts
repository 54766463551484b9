import { type Finding, onlyDefined, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { convert } from "../../units/index.js";
import { type Assumption, type AssumptionBook, assumptionBook } from "../assumptions/index.js";
import { proposeCoupons } from "./coupons.js";
import { foresee, growthAhead } from "./foresee.js";
import { type GrowthPosterior, growthPosterior } from "./growth-fit.js";
import { heatBuildUp, type LayerHeat } from "./heat-build-up.js";
import { studyInterpass } from "./interpass-limit.js";
import type { ScheduledLayer } from "./layer-schedule.js";
import { type LeverStep, pullLever } from "./lever.js";
import type { LayerBand } from "./normal-mixture.js";
import { type Levelling, levelling } from "./relevel.js";
import { couponHints, hintsOf } from "./study-coupons.js";
import { heatFactor, wallBelief } from "./wall-belief.js";
import { planFindings, WALL_CAUTIONS } from "./wall-findings.js";
import { type WallReading, wallSeries } from "./wall-log.js";
import { type WallPhysics, wallPhysics } from "./wall-physics.js";
import type { ConstantRise, WallPlan } from "./wall-plan.js";
import { requireTask, type WallTask } from "./wall-task.js";

/** Stand-offs by what carries the arc, mm; common practice, no source. */
const STANDOFFS = {
  fixed: { usual: 3, touch: 0.5, longer: 2.5 },
  consumable: { usual: 15, touch: 6, longer: 7 },
} as const;

/**
 * Plans a wall layer by layer: rises that follow the growth, a lever where one is wanted, dwells for an interpass
 * temperature, levellings where the band asks for them, and the walls worth laying first.
 *
 * Rests on mass and energy balance, on the study's coupons and on walls logged so far; with no wall logged the bands are
 * wide. Logged walls are taken as laid at the preset's settings, with the layer time and dwells planned here.
 *
 * @throws {BeadbenchError} `bad-argument` for numbers that cannot be, or settings that are missing
 */
export function planWall(wanted: WallTask, readings: readonly WallReading[] = []): WallPlan {
  requireTask(wanted);
  const task = { ...wanted, ...onlyDefined({ interpass: wanted.interpass ?? studyInterpass(wanted.study) }) };
  const book = assumptionBook([["given", task.assume ?? {}]]);
  const physics = wallPhysics(task, book);
  const level = task.level ?? 0.9;
  const place = standoffs(task, physics, book);
  const series = wallSeries(readings);
  const studyCoupons = couponHints(task);
  const gaugeSd = book.take({
    name: "gauge_sd",
    value: 0.1,
    unit: "mm",
    origin: "common practice, no source",
    note: "scatter of one stand-off or height reading",
    bounds: { above: 0, max: 5 },
  });
  const heat = {
    ...physics.heat,
    heatInput:
      physics.heat.heatInput *
      heatFactor({ ...physics.heat, ...onlyDefined({ interpass: task.interpass }) }, readings, book),
    ...onlyDefined({ interpass: task.interpass, timeConstant: task.timeConstant }),
  };
  const guess = task.layers ?? Math.ceil((1.3 * task.height!) / physics.growth);
  const belief = wallBelief({
    physics: { ...physics, heat },
    layers: guess,
    interpass: task.interpass,
    standoff: place.standoff,
    hints: hintsOf(studyCoupons),
  });
  const posterior = growthPosterior({ series, belief, gaugeSd, layers: guess });
  const layers = task.layers ?? layersFor(task.height!, growthAhead(posterior, { layers: guess, level }));
  const bare = growthAhead(posterior, { layers, level });
  const lever = pullLever({ task, physics, book, growth: bare.map(({ expected }) => expected) });
  const grown = bare.map(({ expected }, i) => expected * lever[i]!.factor);
  const rises = steppedRises(grown, task.riseStep ?? 0.01);
  const course = { layers, rises, lever, level };
  const levels = levelling(posterior, course, { ...place, ...onlyDefined({ every: task.relevelEvery }) });
  const constant = constantRise({ task, posterior, layers, rises, level, place });
  const heats = heatBuildUp(heat, layers);
  const coupons = proposeCoupons(posterior, {
    layers,
    margin: Math.min(place.standoff - place.touch, place.tooLong - place.standoff),
    level,
  });
  book.close();
  const scheduled = scheduledLayers({ bare, lever, rises, heats, levelling: levels });
  const plan = {
    layers: scheduled,
    path: task.path,
    settings: task.with.settings,
    interpass: task.interpass ?? null,
    ...place,
    level,
    height: rounds(
      grown.reduce((sum, h) => sum + h, 0),
      6,
    ),
    relevelEvery: levels.every,
    bare,
    shapes: chances(posterior, ({ shape }) => shape),
    answers: chances(posterior, ({ answer }) => answer),
    constant,
    coupons,
    walls: series.map(({ wall, layers: laid, readings: read }) => ({
      wall,
      layers: laid,
      readings: read.length,
    })),
    studyCoupons,
    arcTime: heat.arcTime,
    time: heats.reduce((sum, { dwell }) => sum + dwell + heat.arcTime, 0),
    posterior,
  };
  const findings: readonly Finding[] = planFindings({
    task,
    plan,
    physics,
    series,
    levelling: levels,
    lever,
  });
  const assumptions: readonly Assumption[] = book.taken;
  return { ...plan, findings, cautions: WALL_CAUTIONS, assumptions };
}

function standoffs(task: WallTask, { setting, consumable }: WallPhysics, book: AssumptionBook) {
  const usual = STANDOFFS[consumable ? "consumable" : "fixed"];
  const habit = "common practice, no source";
  const own = setting.standoff ?? setting.contact_tip_distance;
  const standoff = book.take({
    name: "standoff",
    value: own ?? usual.usual,
    unit: "mm",
    origin: own === undefined ? habit : task.with.origin,
    note: "held over the wall",
    bounds: { above: 0, max: 60 },
  });
  const touch = book.take({
    name: "touch",
    value: Math.min(usual.touch, standoff / 3),
    unit: "mm",
    origin: habit,
    note: "stand-off at which the torch touches, or the tip fuses",
    bounds: { min: -1, max: 60 },
  });
  const tooLong = book.take({
    name: "too_long",
    value: standoff + usual.longer,
    unit: "mm",
    origin: habit,
    note: "stand-off at which arc or gas cover is lost",
    bounds: { above: 0, max: 80 },
  });
  requireThat(
    touch < standoff && standoff < tooLong,
    `the stand-off held (${standoff} mm) must lie between touch (${touch} mm) and too long (${tooLong} mm); give them with --assume`,
  );
  return { standoff, touch, tooLong };
}

/** Layers until a wall is as high as wanted. */
function layersFor(height: number, growth: readonly LayerBand[]): number {
  let sum = 0;
  const at = growth.findIndex(({ expected }) => {
    sum += expected;
    return sum >= height - 1e-9;
  });
  return at < 0 ? growth.length : at + 1;
}

/** Rises on the rig's step; what rounding leaves is carried on, so that it never adds up. */
function steppedRises(growth: readonly number[], step: number): readonly number[] {
  let [wanted, risen] = [0, 0];
  return growth.map((h) => {
    wanted += h;
    const rise = rounds(Math.round((wanted - risen) / step) * step, 10);
    risen += rise;
    return rise;
  });
}

function constantRise({
  task,
  posterior,
  layers,
  rises,
  level,
  place,
}: {
  readonly task: WallTask;
  readonly posterior: GrowthPosterior;
  readonly layers: number;
  readonly rises: readonly number[];
  readonly level: number;
  readonly place: { readonly touch: number; readonly tooLong: number };
}): ConstantRise {
  const preset = task.with.settings.layer_height;
  const mean = rises.reduce((sum, rise) => sum + rise, 0) / layers;
  const [rise, origin] =
    task.rise !== undefined
      ? ([task.rise, "given"] as const)
      : preset !== undefined
        ? ([convert(preset.value, preset.unit, "mm"), "preset"] as const)
        : ([mean, "mean of the schedule"] as const);
  const bands = foresee(posterior, { layers, rises: new Array<number>(layers).fill(rise), level });
  const first = (test: (band: LayerBand) => boolean): number | null => {
    const at = bands.slice(0, layers).findIndex(test);
    return at < 0 ? null : at + 1;
  };
  return {
    rise,
    origin,
    bands,
    touches: first(({ low }) => low <= place.touch),
    stretches: first(({ high }) => high >= place.tooLong),
  };
}

function scheduledLayers({
  bare,
  lever,
  rises,
  heats,
  levelling: { bands, relevels },
}: {
  readonly bare: readonly LayerBand[];
  readonly lever: readonly LeverStep[];
  readonly rises: readonly number[];
  readonly heats: readonly LayerHeat[];
  readonly levelling: Levelling;
}): readonly ScheduledLayer[] {
  return bare.map(({ expected, low, high }, i) => {
    const { factor, setting, name } = lever[i]!;
    const { temperature, dwell } = heats[i]!;
    const band = bands[i]!;
    return {
      layer: i + 1,
      rise: i === 0 ? 0 : rises[i - 1]!,
      settings: setting === undefined ? {} : { [name!]: setting },
      dwell,
      temperature,
      standoff: band.expected,
      standoffLow: band.low,
      standoffHigh: band.high,
      relevel: relevels.has(i + 1),
      growth: expected * factor,
      growthLow: low * factor,
      growthHigh: high * factor,
    };
  });
}

function chances<T extends string>(
  { cells }: GrowthPosterior,
  name: (cell: GrowthPosterior["cells"][number]) => T,
): Readonly<Record<string, number>> {
  const sums: Record<string, number> = {};
  for (const cell of cells) sums[name(cell)] = (sums[name(cell)] ?? 0) + cell.weight;
  return Object.fromEntries(Object.entries(sums).sort((a, b) => b[1] - a[1]));
}
