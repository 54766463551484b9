import type { Finding } from "../../errors/index.js";
import { counted, fixed, percent, significant } from "../../numeric/index.js";
import type { LeverStep } from "./lever.js";
import type { Levelling } from "./relevel.js";
import { HOTTEST } from "./wall-belief.js";
import { type WallSeries, wallName } from "./wall-log.js";
import type { WallPhysics } from "./wall-physics.js";
import type { WallPlan } from "./wall-plan.js";
import type { WallTask } from "./wall-task.js";

/** Cautions with every schedule; they are never to be left out. */
export const WALL_CAUTIONS: readonly string[] = [
  "A schedule is an estimate from one rig's record: watch every layer, and stop and check when the stand-off leaves its band.",
  "Leave no arc unattended on the word of a program; hot metal, base and water stay dangerous long after the last layer.",
];

type Drawn = Omit<WallPlan, "findings" | "cautions" | "assumptions">;

/** Chance above which something is worth telling. */
const LIKELY = 0.8;
/** A dwell longer than so many arc times is worth a word. */
const LONG_DWELL = 5;

/** What a user should know about a plan. */
export function planFindings(input: {
  readonly task: WallTask;
  readonly plan: Drawn;
  readonly physics: WallPhysics;
  readonly series: readonly WallSeries[];
  readonly levelling: Levelling;
  readonly lever: readonly LeverStep[];
}): readonly Finding[] {
  return [
    ...ofLog(input.plan, input.series),
    ...ofConstant(input.plan),
    ...ofLevelling(input.plan, input.levelling),
    ...ofCoupons(input.plan),
    ...ofHeat(input.task, input.plan, input.physics),
    ...ofLever(input.task, input.lever),
  ];
}

function ofLog(
  { walls, posterior, answers, layers, coupons }: Drawn,
  series: readonly WallSeries[],
): readonly Finding[] {
  const findings: Finding[] = [];
  if (walls.length === 0) {
    findings.push({
      code: "no-wall-logged",
      severity: "warning",
      message:
        "no wall was logged: the rises rest on mass and energy balance alone, and the bands are as wide as that",
      advice: `lay a wall coupon first${coupons.length === 0 ? "" : ` (${coupons[0]!.layers} layers)`}, log it, and give it with --log`,
    });
  }
  if (walls.length > 0)
    findings.push({
      code: "log-taken-as-is",
      severity: "info",
      message:
        "the logged walls are taken as laid at these settings, path and waits; walls of other ones are not converted",
      advice:
        "leave walls laid with another current, travel, feed, layer time or interpass temperature out of the log",
    });
  const longest = walls.reduce((most, { layers: laid }) => Math.max(most, laid), 0);
  if (longest > 0 && longest < layers.length / 3) {
    findings.push({
      code: "short-walls",
      severity: "warning",
      message: `the longest logged wall has ${longest} layers of ${layers.length}: what the wall does above is told by the shapes that courses of heat usually have`,
      advice: "lay a longer coupon, or measure and re-level often from there on",
    });
  }
  for (const { wall, reading, kind } of posterior.odd) {
    const at = series[wall]!;
    const { layer, value, kind: what } = at.readings[reading]!;
    const read = what === "standoff" ? "stand-off" : "height";
    findings.push(
      kind === "slip"
        ? {
            code: "odd-reading",
            severity: "warning",
            message: `${wallName(at.wall)}, layer ${layer}: the ${read} of ${significant(value)} mm does not belong to the readings around it and was left out`,
            advice: "mend the reading, or leave the cell empty if nobody knows what was read",
          }
        : {
            code: "unlogged-move",
            severity: "warning",
            message: `${wallName(at.wall)}: up to layer ${layer} the torch moved by something the log does not tell`,
            advice:
              "log every correction in the rise after the layer at which it was made, and check the rises typed",
          },
    );
  }
  const regulating = (answers.settles ?? 0) + (answers.held ?? 0);
  if (regulating > LIKELY && walls.length > 0) {
    findings.push({
      code: "regulates-itself",
      severity: "info",
      message: `the rig brings its own stand-off back (chance ${percent(regulating)}): growth followed the rises that were commanded, so the schedule corrects no more than is left`,
      advice:
        "expect little from re-levelling; watch that the stand-off at which it settles is the one you want",
    });
  }
  if ((answers["runs-away"] ?? 0) > LIKELY) {
    findings.push({
      code: "standoff-runs-away",
      severity: "warning",
      message: "a stand-off error grows from layer to layer on this rig",
      advice: "re-level every few layers, or control the stand-off by arc voltage",
    });
  }
  return findings;
}

function ofConstant({ constant, touch, tooLong, standoff, layers }: Drawn): readonly Finding[] {
  const { rise, origin, touches, stretches, bands } = constant;
  const end = bands[layers.length - 1]!;
  const said = `a constant rise of ${significant(rise, 4)} mm (${origin})`;
  const first = [touches, stretches].filter((layer) => layer !== null);
  if (origin === "mean of the schedule" || first.length === 0) return [];
  const what =
    touches !== null && (stretches === null || touches <= stretches)
      ? `the torch may touch (${significant(touch)} mm) from layer ${touches} on`
      : `the arc may stretch beyond ${significant(tooLong)} mm from layer ${stretches} on`;
  return [
    {
      code: "constant-rise-drifts",
      severity: "warning",
      message: `with ${said} and no levelling ${what}; before layer ${layers.length} the stand-off would be about ${fixed(end.expected, 1)} mm in place of ${significant(standoff)} mm`,
      advice: "raise by the schedule",
    },
  ];
}

function ofLevelling(
  { touch, tooLong, level }: Drawn,
  { holds, every, bands }: Levelling,
): readonly Finding[] {
  if (holds) return [];
  const at = bands.findIndex(({ low, high }) => low <= touch || high >= tooLong) + 1;
  return [
    {
      code: "standoff-not-held",
      severity: "warning",
      message: `${every === 1 ? "even with levelling before every layer" : every === null ? "without levelling" : `levelled every ${every} layers`} the ${percent(level)} band leaves ${significant(touch)} to ${significant(tooLong)} mm, first before layer ${at}`,
      advice: "lay the wall coupons below and log them; until then measure before every layer",
    },
  ];
}

/** Coupons that leave the band wide: what else would narrow it. */
function ofCoupons({ coupons, layers, touch, tooLong, standoff }: Drawn): readonly Finding[] {
  const last = coupons.at(-1);
  const room = Math.min(standoff - touch, tooLong - standoff);
  if (last === undefined || last.after <= room) return [];
  return [
    {
      code: "band-stays-wide",
      severity: "info",
      message: `the coupons leave the stand-off before layer ${layers.length} within ${fixed(last.after, 1)} mm if it is never levelled: longer ones cost as much as the build, and these end at layer ${coupons.reduce((most, coupon) => Math.max(most, coupon.layers), 0)}, and no wall is laid twice alike`,
      advice:
        "what narrows it is the build itself: level as scheduled, log a height now and then, and plan the rest and the next build with it (--log or --built)",
    },
  ];
}

function ofHeat(
  task: WallTask,
  { layers }: Drawn,
  { usualInterpass, heat, meltTemperature }: WallPhysics,
): readonly Finding[] {
  const findings: Finding[] = [];
  const sags = heat.surroundings + HOTTEST * (meltTemperature - heat.surroundings);
  const sagging = layers.find(({ temperature }) => temperature! > sags);
  if (sagging !== undefined) {
    findings.push({
      code: "wall-sags",
      severity: "warning",
      message: `by the energy balance layer ${sagging.layer} would begin above ${fixed(sags, 0)} degC, where a wall sags`,
      advice: "dwell between layers (--dwell, --interpass), lay a longer path, or take less heat per mm",
    });
  }
  const limit = usualInterpass?.limit;
  const hot = layers.find(({ temperature }) => limit !== undefined && temperature! > limit);
  const hottest = layers.reduce((most, { temperature }) => Math.max(most, temperature!), 0);
  if (hot !== undefined) {
    findings.push({
      code: "interpass-exceeded",
      severity: "warning",
      message: `layer ${hot.layer} begins at about ${fixed(hot.temperature!, 0)} degC, above the ${limit} degC usual for ${usualInterpass!.family}; the hottest begins at about ${fixed(hottest, 0)} degC`,
      advice:
        task.interpass === undefined
          ? `give --interpass "${limit} degC" for the dwells it asks for, or what your procedure allows; measure, since the energy balance may be a third off`
          : "measure the temperature before each layer",
    });
  }
  const longest = layers.reduce((most, { dwell }) => Math.max(most, dwell), 0);
  if (task.interpass !== undefined && longest > LONG_DWELL * heat.arcTime) {
    findings.push({
      code: "long-dwell",
      severity: "info",
      message: `the longest dwell (${fixed(longest, 0)} s) is ${fixed(longest / heat.arcTime, 0)} times the arc time of a layer`,
      advice: "a thermometer tells when to go on; less heat per layer, or a cooled base, shortens the wait",
    });
  }
  return findings;
}

function ofLever({ lever }: WallTask, steps: readonly LeverStep[]): readonly Finding[] {
  const clipped = steps.flatMap(({ clipped }, i) => (clipped ? [i + 1] : []));
  if (lever === undefined || clipped.length === 0) return [];
  const last = clipped.at(-1)!;
  return [
    {
      code: "lever-at-its-end",
      severity: "info",
      message: `${lever.replaceAll("_", " ")} reaches the end of its range on ${counted(clipped.length, "layer")} (up to layer ${last}); the rise takes up what is left`,
    },
  ];
}
