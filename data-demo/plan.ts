import type { RandomStream } from "../lib/numeric/index.js";
import type { Setting } from "./rig.js";

/** A coupon the two of them decided to run. */
export interface PlannedCoupon extends Setting {
  readonly role: string;
}

/** The middle of everything: run first and last on each day, to see the rig itself change. */
const control: Setting = { current: 135, travelSpeed: 120, wireFeedSpeed: 35, standoff: 3.5 };

/** What they believed in on the morning of day 4. */
const candidate: Setting = { current: 145, travelSpeed: 120, wireFeedSpeed: 40, standoff: 3 };

const low: Setting = { current: 110, travelSpeed: 90, wireFeedSpeed: 22, standoff: 2.5 };
const high: Setting = { current: 165, travelSpeed: 170, wireFeedSpeed: 48, standoff: 4.5 };

/** Half of the sixteen corners: the fourth factor follows the product of the first three. */
function corners(): readonly PlannedCoupon[] {
  return [0, 1, 2, 3, 4, 5, 6, 7].map((i) => {
    const up = [i & 1, (i >> 1) & 1, (i >> 2) & 1];
    const last = (up[0]! + up[1]! + up[2]!) % 2;
    const pick = (name: keyof Setting, isHigh: number): number => (isHigh === 1 ? high : low)[name];
    return {
      role: "corner",
      current: pick("current", up[0]!),
      travelSpeed: pick("travelSpeed", up[1]!),
      wireFeedSpeed: pick("wireFeedSpeed", up[2]!),
      standoff: pick("standoff", last),
    };
  });
}

/** One factor at a time pulled out from the middle. */
function arms(): readonly PlannedCoupon[] {
  const ends: readonly Partial<Setting>[] = [
    { current: 100 },
    { current: 175 },
    { travelSpeed: 80 },
    { travelSpeed: 190 },
    { wireFeedSpeed: 18 },
    { wireFeedSpeed: 50 },
    { standoff: 2 },
    { standoff: 5 },
  ];
  return ends.map((end) => ({ ...control, ...end, role: "arm" }));
}

/** Eight settings spread over the region that had survived so far: a Latin hypercube. */
function spread(stream: RandomStream): readonly PlannedCoupon[] {
  const levels = (from: number, to: number, step: number): number[] =>
    stream.shuffle(
      Array.from({ length: 8 }, (_, i) => Math.round((from + ((to - from) * (i + 0.5)) / 8) / step) * step),
    );
  const current = levels(120, 170, 5);
  const travelSpeed = levels(80, 160, 10);
  const wireFeedSpeed = levels(26, 48, 1);
  const standoff = levels(2, 4.5, 0.5);
  return current.map((_, i) => ({
    role: "spread",
    current: current[i]!,
    travelSpeed: travelSpeed[i]!,
    wireFeedSpeed: wireFeedSpeed[i]!,
    standoff: standoff[i]!,
  }));
}

/** The candidate four times, and four settings around it. */
function confirmation(): readonly PlannedCoupon[] {
  const around: readonly Setting[] = [
    { current: 155, travelSpeed: 140, wireFeedSpeed: 45, standoff: 3 },
    { current: 135, travelSpeed: 100, wireFeedSpeed: 34, standoff: 3 },
    { current: 150, travelSpeed: 120, wireFeedSpeed: 42, standoff: 2.5 },
    { current: 140, travelSpeed: 120, wireFeedSpeed: 40, standoff: 4 },
  ];
  return [
    ...[1, 2, 3, 4].map(() => ({ ...candidate, role: "repeat" })),
    ...around.map((setting) => ({ ...setting, role: "edge" })),
  ];
}

/** The ten coupons of each of the four days, in run order. */
export function planDays(stream: RandomStream): readonly (readonly PlannedCoupon[])[] {
  const middle = { ...control, role: "control" };
  return [corners(), arms(), spread(stream.split("spread")), confirmation()].map((coupons, day) => [
    middle,
    ...stream.split(`order ${day + 1}`).shuffle(coupons),
    middle,
  ]);
}
