import { makeAxes } from "../../design/index.js";
import { BeadbenchError, ownValue, requireNumber, requireThat } from "../../errors/index.js";
import { settingLimits } from "../../models/index.js";
import { brief, settingDigits } from "../../numeric/index.js";
import type { Coupon, DefinedStudy, Factor, StudyDefinition } from "../../study/index.js";
import { convert, parseIn, type Quantity, withUnit } from "../../units/index.js";
import { type MachineMap, mappedSettings, unswitched } from "../machine/index.js";
import { cautionsFor, rigCautions, type StartStop, studySequence } from "../preset/index.js";
import { layOut, type PlacedBox, type Plate } from "./plate-layout.js";
import { type Bead, type CouponShape, type Place, shapePath } from "./shapes.js";

/** How planned coupons are laid; lengths in mm, times in s. */
export interface ProgramOptions {
  readonly shape: CouponShape;
  readonly plate: Plate;
  readonly machine: MachineMap;
  /** Room for the width of one bead. Default 12. */
  readonly beadWidth?: number;
  /** Height of moves between beads, and to go above it. Default 30, and at least 10 above the highest tip. */
  readonly safeHeight?: number;
  /** Wait between layers. Default what a coupon or the rig says as `dwell`, else 60. */
  readonly dwell?: number;
  /** Stand-off where no setting tells it. */
  readonly standoff?: number;
}

/** One coupon on the plate. */
export interface ProgramCoupon {
  readonly id: string;
  readonly box: PlacedBox;
  readonly beads: readonly Bead[];
  /** mm/min along the path. */
  readonly travel: number;
  readonly dwell: number;
  readonly settings: Readonly<Record<string, Quantity>>;
  /** Settings that are words. */
  readonly words: Readonly<Record<string, string>>;
  readonly sequence: StartStop;
}

/** Planned coupons as tool paths on one plate. Plain data; nothing in it has moved yet. */
export interface CouponProgram {
  readonly study: string;
  readonly shape: CouponShape["kind"];
  readonly plate: Plate;
  readonly machine: MachineMap;
  readonly safeHeight: number;
  readonly coupons: readonly ProgramCoupon[];
  /** Arc time and the whole, s, without what stands still for an operator. */
  readonly time: { readonly arc: number; readonly whole: number };
  /** What the program cannot do, by hand or not at all. */
  readonly lost: readonly string[];
  readonly cautions: readonly string[];
}

const BEAD_WIDTH = 12;
const SAFE_HEIGHT = 30;
const CLEARANCE = 10;
/** Between layers where nothing tells it. Common practice, no source. */
const DWELL = 60;

/**
 * Tool paths for coupons of a study, in run order on one plate: checked against the plate, the machine's travel, speed and values,
 * and the ranges and limits of the plan. Origin is the plate's front left corner, with the tip on the plate.
 *
 * @param coupons - of the study, in run order
 * @throws {BeadbenchError} `refused` naming the coupon and what it leaves or exceeds; `bad-argument` for sizes out of bounds or a
 *   travel speed or stand-off that nothing tells
 */
export function couponProgram(
  { definition }: DefinedStudy,
  coupons: readonly Coupon[],
  options: ProgramOptions,
): CouponProgram {
  const { shape, plate, machine, beadWidth = BEAD_WIDTH } = options;
  requireThat(coupons.length > 0, "a program needs at least one coupon");
  requireNumber("room for the bead's width", beadWidth, { above: 0, max: 100, unit: "mm" });
  const jobs = coupons.map((coupon) => jobOf(definition, coupon, options));
  const boxes = layOut(
    plate,
    jobs.map(({ path }) => ({ width: path.width + beadWidth, depth: path.depth + beadWidth })),
  );
  const top = Math.max(...jobs.map(({ path }) => path.top));
  const safeHeight = Math.max(options.safeHeight ?? SAFE_HEIGHT, top + CLEARANCE);
  const placed = jobs.map(({ path, ...job }, i): ProgramCoupon => {
    const box = boxes[i]!;
    const move = ({ x, y, z }: Place): Place => ({
      x: x + box.x + beadWidth / 2,
      y: y + box.y + beadWidth / 2,
      z,
    });
    const beads = path.beads.map(
      ({ layer, from, moves }): Bead => ({
        layer,
        from: move(from),
        moves: moves.map(({ to, centre }) => {
          if (centre === undefined) return { to: move(to) };
          const { x, y } = move({ ...centre, z: 0 });
          return { to: move(to), centre: { x, y } };
        }),
      }),
    );
    return { ...job, box, beads };
  });
  const program = { plate, machine, safeHeight, coupons: placed };
  requireReach(program);
  const { settings, words, sequence } = placed[0]!;
  return {
    ...program,
    study: definition.name,
    shape: shape.kind,
    time: timesOf(placed),
    lost: unswitched({ machine, sequence, settings }, words),
    cautions: rigCautions({ process: definition.process, cautions: cautionsFor(definition.process) }),
  };
}

function jobOf(
  definition: StudyDefinition,
  coupon: Coupon,
  { shape, machine, standoff, dwell }: ProgramOptions,
) {
  const { id } = coupon;
  requirePlanned(definition, coupon, shape);
  const words: Record<string, string> = {};
  const settings: Record<string, Quantity> = { ...definition.rig?.settings };
  for (const { name, unit } of definition.factors) {
    const value = ownValue(coupon.settings, name);
    if (typeof value === "number") settings[name] = { value, unit };
    else if (value !== undefined) words[name] = value;
  }
  const told = (name: string, unit: string): number | undefined => {
    const quantity = ownValue(settings, name);
    return quantity === undefined ? undefined : convert(quantity.value, quantity.unit, unit);
  };
  const travel = told("travel_speed", "mm/min");
  if (travel === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `coupon ${id} has no travel_speed: a program cannot go without; add it as a factor or under rig.settings of study.json`,
    );
  const above = told("standoff", "mm") ?? told("contact_tip_distance", "mm") ?? standoff;
  if (above === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `coupon ${id} has no standoff: write --standoff with its length, or add it under rig.settings of study.json`,
    );
  refuseAs(id, () => mappedSettings(machine, settings));
  return {
    id,
    path: shapePath(shape, above),
    travel,
    dwell: requireNumber("dwell", dwell ?? told("dwell", "s") ?? DWELL, { min: 0, max: 86_400, unit: "s" }),
    settings,
    words,
    sequence: studySequence(definition, settings),
  };
}

/** Refusals of some work with the coupon named. */
function refuseAs(id: string, work: () => unknown): void {
  try {
    work();
  } catch (error) {
    if (!(error instanceof BeadbenchError)) throw error;
    throw new BeadbenchError(error.code, `coupon ${id}: ${error.message}`, error.details);
  }
}

/** Holds a coupon to what the plan allows: the factors' ranges and levels, and the study's limits. */
function requirePlanned(definition: StudyDefinition, { id, settings }: Coupon, shape: CouponShape): void {
  const refuse = (what: string): never => {
    throw new BeadbenchError("refused", `coupon ${id}: ${what}; mend the plan or study.json`);
  };
  const within = (value: number, { name, low, high, unit }: Factor, what: string): void => {
    const slack = 1e-9 * (high - low);
    if (value < low - slack || value > high + slack)
      refuse(
        `${what} ${withUnit(settingDigits(value), unit)} is outside the plan's ${name}, ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}`,
      );
  };
  for (const factor of definition.factors) {
    const value = ownValue(settings, factor.name);
    if (typeof value === "number") within(value, factor, factor.name);
    else if (value !== undefined && factor.levels?.includes(value) !== true)
      refuse(`${factor.name} "${value}" is no level of the plan`);
    if (factor.name === "standoff" && shape.kind === "ramp")
      for (const end of [shape.from, shape.to])
        within(convert(end, "mm", factor.unit), factor, "an end of the ramp,");
  }
  // Limits know settings of all factors only.
  if (makeAxes(definition.factors).some(({ name }) => ownValue(settings, name) === undefined)) return;
  for (const { name, unit = "1", value, min, max } of settingLimits({ definition })) {
    const here = value(settings);
    const slack = 1e-9 * Math.max(Math.abs(min ?? 0), Math.abs(max ?? 0));
    if ((min !== undefined && here < min - slack) || (max !== undefined && here > max + slack))
      refuse(`${name} of ${withUnit(brief(here, 4), unit)} breaks the study's limit`);
  }
}

type Placed = Pick<CouponProgram, "plate" | "machine" | "safeHeight" | "coupons">;

/** Holds every place of a program to the travel of the axes, and every speed to the fastest motion. */
function requireReach({ machine, safeHeight, coupons }: Placed): void {
  const { axes, plate, fastest } = machine;
  const limit = parseIn(fastest, "mm/min");
  for (const { id, box, beads, travel } of coupons) {
    if (travel > limit)
      throw new BeadbenchError(
        "refused",
        `coupon ${id}: travel speed ${brief(travel, 5)} mm/min is faster than the machine's ${brief(limit, 5)} mm/min`,
      );
    // The box holds every path of the coupon, with half a bead to spare.
    const reach = {
      x: [box.x, box.x + box.width],
      y: [box.y, box.y + box.depth],
      z: [
        Math.min(...beads.flatMap(({ from, moves }) => [from.z, ...moves.map(({ to }) => to.z)])),
        safeHeight,
      ],
    } as const;
    for (const axis of ["x", "y", "z"] as const)
      for (const place of reach[axis]) {
        const there = place + plate[axis];
        const { min, max } = axes[axis];
        if (there < min || there > max)
          throw new BeadbenchError(
            "refused",
            `coupon ${id}: ${axis.toUpperCase()} ${brief(there, 6)} mm of the machine is outside its travel, ${min} to ${max} mm${axis === "z" ? "; the safe height counts too" : ""}`,
          );
      }
  }
}

/** Length of a bead's path, mm. */
export function beadLength({ from, moves }: Bead): number {
  let [length, at] = [0, from];
  for (const { to, centre } of moves) {
    length +=
      centre === undefined ? Math.hypot(to.x - at.x, to.y - at.y, to.z - at.z) : arcLength(at, to, centre);
    at = to;
  }
  return length;
}

/** Against the clock; a whole turn where the ends are one. */
function arcLength(at: Place, to: Place, centre: { readonly x: number; readonly y: number }): number {
  const radius = Math.hypot(at.x - centre.x, at.y - centre.y);
  const angle = (p: Place): number => Math.atan2(p.y - centre.y, p.x - centre.x);
  const turn = (angle(to) - angle(at) + 2 * Math.PI) % (2 * Math.PI);
  return radius * (turn < 1e-9 ? 2 * Math.PI : turn);
}

function timesOf(coupons: readonly ProgramCoupon[]): CouponProgram["time"] {
  let [arc, whole] = [0, 0];
  for (const { beads, travel, dwell, sequence } of coupons) {
    const steps = [...sequence.start, ...sequence.stop];
    const still = (names: readonly string[]): number =>
      steps.reduce(
        (sum, { name, unit, value }) => sum + (unit === "s" && names.includes(name) ? value : 0),
        0,
      );
    const lit = still(["up_slope", "pool_dwell", "feed_delay", "melt_back_delay", "down_slope"]);
    const dark = still(["pre_flow", "post_flow"]);
    for (const bead of beads) {
      const burning = (60 * beadLength(bead)) / travel + lit;
      arc += burning;
      whole += burning + dark;
    }
    whole += dwell * (beads.length - 1);
  }
  return { arc, whole };
}
