import { BeadbenchError, requireThat } from "../../errors/index.js";
import { resolvePriors } from "../../models/index.js";
import { rounds } from "../../numeric/index.js";
import { convert, type Quantity } from "../../units/index.js";
import type { AssumptionBook } from "../assumptions/index.js";
import type { WallPhysics } from "./wall-physics.js";
import type { WallLever, WallTask } from "./wall-task.js";

/** What a lever does to one layer. */
export interface LeverStep {
  /** The setting and its name, in the preset's unit; absent where the layer keeps the preset's. */
  readonly setting?: Quantity;
  readonly name?: WallLever;
  /** Factor on the growth, and the doubt about its logarithm. */
  readonly factor: number;
  readonly logSd: number;
  /** Whether the setting's range stopped it. */
  readonly clipped: boolean;
}

/** Without a range, a lever moves a setting by no more than this share; common practice, no source. */
const FARTHEST = 0.3;
/** A change below this share is left out. */
const LEAST = 0.005;

/**
 * Settings by layer that bring every layer to the growth of the last one, as far as their range goes: a cold wall gets more
 * current, less wire or a faster travel, which the heat of later layers makes needless.
 *
 *     growth ~ current^-a, travel^-(1 + b), feed^(1 - c), where width ~ current^a travel^b feed^c
 *
 * @param growth - of each layer at the preset, mm
 */
export function pullLever({
  task,
  physics,
  book,
  growth,
}: {
  readonly task: WallTask;
  readonly physics: WallPhysics;
  readonly book: AssumptionBook;
  readonly growth: readonly number[];
}): readonly LeverStep[] {
  const { lever } = task;
  if (lever === undefined) return growth.map(() => ({ factor: 1, logSd: 0, clipped: false }));
  const { exponent, sd } = answerTo(lever, { task, physics, book });
  const { setting, range } = leverRange(task, lever);
  const wanted = growth.at(-1)!;
  const step = task.study.definition.factors.find(({ name }) => name === lever)?.step;
  return growth.map((h) => {
    const free = setting.value * (h / wanted) ** (-1 / exponent);
    const held = Math.min(range.high, Math.max(range.low, free));
    const value = step === undefined ? held : Math.round(held / step) * step;
    const ratio = value / setting.value;
    const clipped = Math.abs(free / held - 1) > LEAST;
    if (Math.abs(ratio - 1) < LEAST) return { factor: 1, logSd: 0, clipped };
    return {
      name: lever,
      setting: { value: rounds(value, 6), unit: setting.unit },
      factor: ratio ** exponent,
      logSd: sd * Math.abs(Math.log(ratio)),
      clipped,
    };
  });
}

/** How the growth of a layer answers a lever: exponent, and the doubt about it. */
function answerTo(
  lever: WallLever,
  {
    task,
    physics,
    book,
  }: { readonly task: WallTask; readonly physics: WallPhysics; readonly book: AssumptionBook },
): { readonly exponent: number; readonly sd: number } {
  const { values } = resolvePriors(task.study);
  const fed = physics.consumable;
  requireThat(
    !(fed && lever === "current"),
    "the feed of a consumable electrode sets its current: take --lever wire_feed_speed or travel_speed",
  );
  const width = {
    current: [values.width_per_current, values.width_per_current_sd],
    travel_speed: [fed ? values.fed_width_per_travel : values.width_per_travel, values.width_per_travel_sd],
    wire_feed_speed: [fed ? values.fed_width_per_feed : values.width_per_feed, values.width_per_feed_sd],
  } as const;
  const [own, sd] = width[lever];
  const metal = { current: 0, travel_speed: -1, wire_feed_speed: 1 }[lever];
  const exponent = book.take({
    name: "lever_exponent",
    value: metal - own,
    unit: "1",
    origin: "mass balance and the width's prior exponent",
    note: `growth goes with ${lever.replaceAll("_", " ")} to this power`,
    bounds: {},
  });
  requireThat(
    Math.abs(exponent) > 0.05,
    `a lever that growth does not answer (exponent ${exponent}) moves nothing`,
  );
  return {
    exponent,
    sd: book.take({
      name: "lever_exponent_doubt",
      value: sd,
      unit: "1",
      origin: "the width's prior",
      note: "doubt about it, one standard deviation",
      bounds: { min: 0 },
    }),
  };
}

function leverRange(task: WallTask, lever: WallLever) {
  const setting = task.with.settings[lever];
  if (setting === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `the lever ${lever} is none of the settings (${Object.keys(task.with.settings).join(", ")})`,
    );
  const given = task.with.ranges[lever];
  const factor = task.study.definition.factors.find(({ name }) => name === lever);
  // Ranges of a preset hold for all settings at once; a lever that stays in the study's own range is still known ground.
  const bounds = [
    ...(factor === undefined ? [] : [[factor.low, factor.high, factor.unit] as const]),
    ...(given === undefined ? [] : [[given.low, given.high, given.unit] as const]),
  ][0] ?? [setting.value * (1 - FARTHEST), setting.value * (1 + FARTHEST), setting.unit];
  const [low, high, unit] = bounds;
  const inOwn = (value: number): number => convert(value, unit, setting.unit);
  requireThat(
    inOwn(low) <= setting.value && setting.value <= inOwn(high),
    `the lever ${lever} stands at ${setting.value} ${setting.unit}, outside its own range ${inOwn(low)} to ${inOwn(high)} ${setting.unit}`,
  );
  return { setting, range: { low: inOwn(low), high: inOwn(high) } };
}
