import type { Finding } from "../../errors/index.js";
import { fixed, percent, significant } from "../../numeric/index.js";
import {
  dutyAt,
  type Equipment,
  type EquipmentLoad,
  waterOutletLimit,
  waterRise,
} from "../../process/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { studyInterpass, usualInterpass } from "../wall/index.js";
import { type BuildPlan, planLayer } from "./build-plan.js";

/** Whether a limit is kept with room to spare, sets the pace or the band, or is passed. */
export type LimitState = "holds" | "binds" | "passed" | "not known";

/** One limit of a build beside what the build asks of it. */
export interface BuildLimit {
  readonly what: "source duty" | "cooling water" | "interpass" | "stand-off";
  readonly state: LimitState;
  /** What the build comes to, and what is allowed, in words; empty where not known. */
  readonly asked: string;
  readonly allowed: string;
  /** What it means, or what would tell. */
  readonly note: string;
  /** What is passed, where it is. */
  readonly finding?: Finding;
}

/** A limit within this share of what is asked sets the pace. */
const NEAR = 0.95;
/** K by which a thermometer cannot part two temperatures. */
const SAME = 1;

/** The limits of a build: source duty, cooling water, interpass temperature, stand-off. */
export function buildLimits(
  study: DefinedStudy,
  plan: BuildPlan,
  {
    duty,
    load,
    equipment,
  }: {
    /** Share of the worst ten minutes. */
    readonly duty: number;
    readonly load: EquipmentLoad | undefined;
    readonly equipment: Equipment | undefined;
  },
): readonly BuildLimit[] {
  return [
    sourceLimit(duty, load?.current, equipment),
    waterLimit(plan, load?.netPower, equipment),
    interpassLimit(study, plan),
    standoffLimit(plan),
  ];
}

function sourceLimit(
  duty: number,
  current: number | undefined,
  equipment: Equipment | undefined,
): BuildLimit {
  const what = "source duty";
  const asked = `${percent(duty)} of the worst ten minutes`;
  if (equipment?.source === undefined || current === undefined)
    return {
      what,
      state: "not known",
      asked,
      allowed: "",
      note:
        current === undefined
          ? "no current is told"
          : "give the makers' ratings of the source with --equipment",
    };
  const carried = dutyAt(equipment.source, current);
  const allowed = `${percent(carried)} at ${significant(current)} A`;
  if (carried >= duty)
    return {
      what,
      state: duty > NEAR * carried && carried < 1 ? "binds" : "holds",
      asked,
      allowed,
      note: "by the rating, at 40 degC around it",
    };
  return {
    what,
    state: "passed",
    asked,
    allowed,
    note: "the source would trip or wear",
    finding: {
      code: "duty-exceeded",
      severity: "error",
      message: `the source carries ${significant(current)} A for ${percent(carried)} of ten minutes; the build asks ${percent(duty)}`,
      advice: "wait longer between layers, take a lower current, or a source of a higher rating",
    },
  };
}

/** All heat of the arc is taken to go into the water, so that the outlet is never hotter than said. */
function waterLimit(
  { assumptions }: BuildPlan,
  netPower: number | undefined,
  equipment: Equipment | undefined,
): BuildLimit {
  const what = "cooling water";
  const water = equipment?.water ?? {
    flow: assumptions.water_flow.value,
    inlet: assumptions.water_inlet.value,
    outletLimit: assumptions.water_limit.value,
  };
  const unknown = (note: string): BuildLimit => ({ what, state: "not known", asked: "", allowed: "", note });
  if (water.flow <= 0)
    return unknown('no water flow is told; where there is one: --assume water_flow="2 L/min"');
  if (netPower === undefined) return unknown("current and arc voltage are not told");
  const limit = water.outletLimit ?? waterOutletLimit.value;
  const outlet = water.inlet + waterRise(netPower, water.flow);
  const asked = `${fixed(outlet, 0)} degC at the outlet at most`;
  const allowed = `${fixed(limit, 0)} degC`;
  const note = `${significant(netPower)} W into ${significant(water.flow)} L/min that comes at ${fixed(water.inlet, 0)} degC, as if all of the heat went there`;
  if (outlet <= limit)
    return {
      what,
      state: outlet - water.inlet > NEAR * (limit - water.inlet) ? "binds" : "holds",
      asked,
      allowed,
      note,
    };
  return {
    what,
    state: "passed",
    asked,
    allowed,
    note,
    finding: {
      code: "water-too-hot",
      severity: "warning",
      message: `cooling water may leave at ${fixed(outlet, 0)} degC, limit ${fixed(limit, 0)} degC`,
      advice: "more flow, or less power; a flow and temperature interlock must stop the arc all the same",
    },
  };
}

function interpassLimit(study: DefinedStudy, plan: BuildPlan): BuildLimit {
  const what = "interpass";
  const usual = usualInterpass(study);
  const limit = plan.held?.interpass ?? studyInterpass(study) ?? usual?.limit;
  const from =
    plan.held?.interpass !== undefined
      ? "kept by the schedule"
      : studyInterpass(study) !== undefined
        ? "of the study"
        : `usual for ${usual?.family}`;
  const layers = plan.outline.layers.flatMap(({ layer }) => {
    const { temperature, dwell } = planLayer(plan, layer);
    return temperature === undefined ? [] : [{ layer, temperature, dwell: dwell ?? 0 }];
  });
  const allowed = limit === undefined ? "" : `${fixed(limit, 0)} degC (${from})`;
  if (layers.length === 0)
    return {
      what,
      state: "not known",
      asked: "",
      allowed,
      note: "temperatures by layer come with a schedule (`wall --json`, --schedule)",
    };
  const hottest = layers.reduce((most, { temperature }) => Math.max(most, temperature), 0);
  const asked = `layers begin at ${fixed(hottest, 0)} degC at most, by the energy balance`;
  if (limit === undefined) return { what, state: "not known", asked, allowed, note: "no limit is known" };
  const over = layers.find(({ temperature }) => temperature > limit + SAME);
  if (over !== undefined)
    return {
      what,
      state: "passed",
      asked,
      allowed,
      note: `from layer ${over.layer} on`,
      finding: {
        code: "interpass-exceeded",
        severity: "warning",
        message: `layer ${over.layer} begins at about ${fixed(over.temperature, 0)} degC, above ${fixed(limit, 0)} degC (${from}); the hottest begins at about ${fixed(hottest, 0)} degC`,
        advice: `make the schedule with --interpass "${fixed(limit, 0)} degC" for the dwells it asks for, or what your procedure allows`,
      },
    };
  const held = layers.filter(({ temperature }) => temperature > limit - SAME);
  const longest = held.reduce((most, { dwell }) => Math.max(most, dwell), 0);
  return held.length === 0
    ? { what, state: "holds", asked, allowed, note: "no layer waits for it" }
    : {
        what,
        state: "binds",
        asked,
        allowed,
        note: `sets the wait of ${held.length} layers, up to ${fixed(longest, 0)} s each`,
      };
}

function standoffLimit({ standoff, held, outline }: BuildPlan): BuildLimit {
  const what = "stand-off";
  const bands = standoff.filter(({ layer }) => layer <= outline.layers.length);
  if (bands.length === 0)
    return {
      what,
      state: "not known",
      asked: "",
      allowed: "",
      note: "bands by layer come with a schedule (`wall --json`, --schedule)",
    };
  const low = bands.reduce((least, band) => Math.min(least, band.low), Number.POSITIVE_INFINITY);
  const high = bands.reduce((most, band) => Math.max(most, band.high), Number.NEGATIVE_INFINITY);
  const asked = `${fixed(low, 1)} to ${fixed(high, 1)} mm`;
  const { touch, tooLong } = held ?? {};
  if (touch === undefined || tooLong === undefined)
    return {
      what,
      state: "not known",
      asked,
      allowed: "",
      note: "the schedule names no touch and no too long",
    };
  const allowed = `${fixed(touch, 1)} (touch) to ${fixed(tooLong, 1)} mm (too long)`;
  const out = bands.find((band) => band.low <= touch || band.high >= tooLong);
  if (out === undefined)
    return { what, state: "holds", asked, allowed, note: "levelled as the schedule says" };
  return {
    what,
    state: "passed",
    asked,
    allowed,
    note: `first before layer ${out.layer}`,
    finding: {
      code: "standoff-not-held",
      severity: "warning",
      message: `the stand-off band of the schedule leaves ${allowed} first before layer ${out.layer}`,
      advice: "level more often, or lay and log the wall coupons that `wall` asks for",
    },
  };
}
