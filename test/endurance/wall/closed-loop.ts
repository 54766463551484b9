import {
  foresee,
  planWall,
  type WallPlan,
  type WallReading,
  type WallTask,
} from "../../../lib/endurance/wall/index.js";
import type { RandomStream } from "../../../lib/numeric/index.js";
import { parseStudyDefinition } from "../../../lib/study/index.js";
import { layCoupon, layWall, type WallRig } from "./walls.js";

/** Layers of the build that is judged. */
export const LAYERS = 100;
const TARGET = 3;

const definition = parseStudyDefinition({
  schema: "beadbench/study/1",
  name: "walls (invented)",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.2 mm" },
  factors: [{ name: "current", unit: "A", low: 90, high: 180 }],
  responses: [{ name: "bead_width", unit: "mm" }],
  seed: 1,
});

/** What came of one rig: coupons laid as the plan asked, then the build by its schedule. Lengths in mm. */
export interface Built {
  readonly coupons: readonly number[];
  /** Off the stand-off before the last layer: by the schedule's rises alone, and levelled as it says too. */
  readonly off: number;
  readonly offLevelled: number;
  /** The same wall at a constant rise: that of the first bead, and the mean of the first coupon's first 20 layers. */
  readonly offFirst: number;
  readonly offMean: number;
  /** Before layers 11, 21 and so on to 100: whether the band of an unlevelled wall held it. */
  readonly held: readonly boolean[];
  readonly halfWidth: number;
}

/**
 * The loop a user walks: plan without a wall, lay the first coupon asked for, plan again, lay the others with those rises,
 * plan the build. The layer height known beforehand is off by 15 % (sd), as from mass balance.
 */
export function buildByPlan(rig: WallRig, random: RandomStream): Built {
  const cold = rig.growths(5, random.split("beads"));
  const task: WallTask = {
    study: { definition, coupons: [] },
    with: {
      settings: {
        current: { value: 130, unit: "A" },
        travel_speed: { value: 2.5, unit: "mm/s" },
        wire_feed_speed: { value: 18, unit: "mm/s" },
        standoff: { value: TARGET, unit: "mm" },
      },
      foretold: [],
      ranges: {},
      origin: "given",
    },
    path: 150,
    layers: LAYERS,
    assume: {
      layer_height: { value: cold[3]! * Math.exp(0.15 * random.split("guess").normal()), unit: "mm" },
      layer_height_doubt: { value: 0.15, unit: "1" },
      gauge_sd: { value: rig.gaugeSd, unit: "mm" },
    },
  };
  const readings: WallReading[] = [];
  let plan = planWall(task);
  const asked = plan.coupons;
  asked.forEach(({ layers, measure }, i) => {
    if (i === 1) plan = planWall(task, readings);
    const rises = risesOf(plan).slice(0, layers);
    readings.push(
      ...layCoupon(rig, {
        name: `${i}`,
        rises,
        target: TARGET,
        layers: measure,
        random: random.split(`coupon ${i}`),
      }),
    );
  });
  plan = planWall(task, readings);
  const bands = foresee(plan.posterior, { layers: LAYERS, rises: risesOf(plan), level: plan.level });
  const build = random.split("build");
  const at = (rises: readonly number[]): readonly number[] =>
    layWall(rig, { rises, start: TARGET, random: randomAgain(build) }).standoff;
  const laid = at(risesOf(plan));
  const first = readings.filter(({ wall }) => wall === "0");
  const constant = (rise: number): number =>
    Math.abs(at(new Array<number>(LAYERS).fill(rise))[LAYERS - 1]! - TARGET);
  const last = bands[LAYERS - 1]!;
  return {
    coupons: asked.map(({ layers }) => layers),
    off: Math.abs(laid[LAYERS - 1]! - TARGET),
    offLevelled: levelled(laid, plan, rig, random.split("levels")),
    offFirst: constant(cold[0]!),
    offMean: constant(meanRise(first)),
    held: [11, 21, 31, 41, 51, 61, 71, 81, 91, 100].map((layer) => {
      const { low, high } = bands[layer - 1]!;
      return low <= laid[layer - 1]! && laid[layer - 1]! <= high;
    }),
    halfWidth: (last.high - last.low) / 2,
  };
}

/** Rise after each layer. */
function risesOf({ layers, bare }: WallPlan): readonly number[] {
  return [...layers.slice(1).map(({ rise }) => rise), bare.at(-1)!.expected];
}

/** The same scatter of layers for every way of raising. */
const randomAgain = (stream: RandomStream): RandomStream => stream.split("layers");

/** Growth of layers as a rise, by the stand-offs read at layers 1 and near 20 of a coupon. */
function meanRise(rows: readonly WallReading[]): number {
  const read = rows.filter(({ standoff }) => standoff !== null);
  const [from, to] = [read[0]!, read.findLast(({ layer }) => layer <= 21)!];
  const risen = rows.slice(from.layer - 1, to.layer - 1).reduce((sum, { rise }) => sum + rise!, 0);
  return (risen - (to.standoff! - from.standoff!)) / (to.layer - from.layer);
}

/** Stand-off off before the last layer where the torch is set anew as the plan says; the rises between are the same. */
function levelled(laid: readonly number[], plan: WallPlan, rig: WallRig, random: RandomStream): number {
  const last = plan.layers.findLast(({ relevel }) => relevel)?.layer;
  if (last === undefined) return Math.abs(laid[LAYERS - 1]! - TARGET);
  const since = laid[LAYERS - 1]! - laid[last - 1]!;
  return Math.abs(since + rig.gaugeSd * random.normal());
}
