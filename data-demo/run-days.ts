import { type RandomStream, randomStream } from "../lib/numeric/index.js";
import { type PlannedCoupon, planDays } from "./plan.js";
import { type Bead, type Conditions, type Fault, strike } from "./rig.js";

/** A coupon as it came off the rig and under the calliper. */
export interface RunCoupon extends PlannedCoupon {
  readonly id: string;
  readonly day: number;
  readonly tungstenGrind: number;
  readonly cylinder: number;
  readonly voltage: number;
  readonly plateTemperature: number;
  readonly smooth: boolean;
  /** Not judged where the wire did not feed. */
  readonly sound?: boolean;
  /** Three stations along the bead, mm; empty where there was no bead to measure. */
  readonly widths: readonly number[];
  readonly heights: readonly number[];
  readonly note: string;
}

/** The tungsten was touched by the wire on this coupon and ground before the next. */
export const TOUCHED = "C014";
/** Nobody ground the mill scale off under this one. */
export const SCALE_LEFT = "C026";

const remarks: Readonly<Record<Fault, readonly string[]>> = {
  stubbing: ["wire hit the bottom of the pool, bead walked", "wire stubbed, feed rolls slipped"],
  drops: ["wire melted off in drops", "balls instead of a bead"],
  balling: ["bead stands up, no wetting", "rope of a bead, toes roll over"],
  "burn-through": ["pool sagged into the groove", "burnt through"],
};

const round = (value: number, digits: number): number => Number(value.toFixed(digits));

/** Arc time of a coupon: 120 mm of bead and 18 s to form the pool. */
export function arcMinutes({ travelSpeed }: PlannedCoupon): number {
  return 120 / travelSpeed + 0.3;
}

/** Runs the four days; the same seed gives the same coupons. */
export function runDays(seed: number): readonly (readonly RunCoupon[])[] {
  const stream = randomStream(seed);
  let tungstenMinutes = 0;
  let tungstenGrind = 1;
  return planDays(stream.split("plan")).map((coupons, i) => {
    const day = i + 1;
    const rig = stream.split(`day ${day}`);
    const heat = 0.02 * rig.normal();
    const cylinder = day < 4 ? 1 : 2;
    const wetting = cylinder === 1 ? 0 : 0.012;
    return coupons.map((planned, j) => {
      const id = `C${String(10 * i + j + 1).padStart(3, "0")}`;
      const plateTemperature = round(24 + 38 * (1 - Math.exp(-j / 4)) + 2 * rig.normal(), 0);
      const scale = id === SCALE_LEFT ? -0.12 : 0;
      const conditions: Conditions = { heat, tungstenMinutes, wetting: wetting + scale, plateTemperature };
      const bead = strike(planned, conditions);
      const coupon = {
        ...planned,
        id,
        day,
        tungstenGrind,
        cylinder,
        plateTemperature,
        ...measure(bead, rig.split(id)),
      };
      tungstenMinutes += arcMinutes(planned);
      if (id === TOUCHED) {
        tungstenMinutes = 0;
        tungstenGrind += 1;
      }
      return coupon;
    });
  });
}

type Measured = Pick<RunCoupon, "voltage" | "smooth" | "sound" | "widths" | "heights" | "note">;

/** Scatter of a bead about what the settings ask: 3.5 % in width, 4 % in height, the wide ones lower. */
function measure(bead: Bead, stream: RandomStream): Measured {
  const voltage = round(bead.voltage + 0.12 * stream.normal(), 1);
  const { stubbing, drops, balling, "burn-through": burnThrough } = bead.escapes;
  const smooth = stream.uniform() < stubbing * drops;
  const isSound = stream.uniform() < balling * burnThrough;
  const wide = stream.normal();
  const width = bead.width * Math.exp(0.035 * wide);
  const height = bead.height * Math.exp(0.04 * (-0.4 * wide + Math.sqrt(1 - 0.4 ** 2) * stream.normal()));
  const readings = (value: number): readonly number[] =>
    [1, 2, 3].map(() => round(value * Math.exp(0.015 * stream.normal()) + 0.03 * stream.normal(), 2));
  const pick = stream.integer(0, 1);
  const remark = (one: Fault, other: Fault): string =>
    remarks[bead.escapes[one] < bead.escapes[other] ? one : other][pick]!;
  const none = { voltage, smooth, widths: [], heights: [] };
  if (!smooth) return { ...none, note: remark("stubbing", "drops") };
  if (!isSound) return { ...none, sound: false, note: remark("balling", "burn-through") };
  return { voltage, smooth, sound: true, widths: readings(width), heights: readings(height), note: "" };
}
