import { heightForArea, thickPlatePool } from "../lib/process/index.js";

/** Settings of the invented rig. */
export interface Setting {
  /** A */
  readonly current: number;
  /** mm/min */
  readonly travelSpeed: number;
  /** in/min: the feeder came from an older machine with a dial in inches. */
  readonly wireFeedSpeed: number;
  /** Distance from tungsten to plate, mm. */
  readonly standoff: number;
}

/** State of the rig when a coupon is run. */
export interface Conditions {
  /** Relative change of the heat that arrives, of the day's connections and earth clamp. */
  readonly heat: number;
  /** Arc minutes on the tungsten since it was ground. */
  readonly tungstenMinutes: number;
  /** Relative change of how far the pool wets, of the gas cylinder. */
  readonly wetting: number;
  /** degC before the arc starts. */
  readonly plateTemperature: number;
}

/** The first two are faults of the feed, the others of the bead. */
export type Fault = "stubbing" | "drops" | "balling" | "burn-through";

/** What the arc did, before anybody measures. */
export interface Bead {
  readonly voltage: number;
  readonly width: number;
  readonly height: number;
  /** Chance to escape each fault. */
  readonly escapes: Readonly<Record<Fault, number>>;
}

const WIRE_AREA = (Math.PI * 1.2 ** 2) / 4;
/** Heat to melt austenitic wire, J/mm3. */
const MELTING = 8.9;

/** A soft step: near 1 when the margin is held, near 0 when it is missed. */
const holds = (margin: number, softness: number): number => 1 / (1 + Math.exp(-margin / softness));

/**
 * The invented rig's physics: arc power less losses is split between wire and pool; the pool's width is that of
 * a moving point source on a thick plate, widened by wetting; the wire fed makes a circular segment of that
 * width. Wire stubs where it asks more heat than the pool gives, falls in drops where the arc melts it off above
 * the pool, balls up where the toes would stand too steep, and burns through where the pool grows too wide.
 */
export function strike(setting: Setting, conditions: Conditions): Bead {
  const { current, standoff } = setting;
  const travel = setting.travelSpeed / 60;
  const feed = (setting.wireFeedSpeed * 25.4) / 60;
  const wear = conditions.tungstenMinutes / 60;
  const voltage = 8.6 + 0.85 * standoff + 0.009 * current + 0.35 * wear;
  const efficiency = (0.79 - 0.022 * standoff - 0.03 * wear) * (1 + conditions.heat);
  const arriving = efficiency * voltage * current - 45;
  const wireHeat = WIRE_AREA * feed * MELTING;
  const share = wireHeat / arriving;
  const pool = thickPlatePool(
    {
      netPower: Math.max(arriving - 0.7 * wireHeat, 1),
      travelSpeed: travel,
      conductivity: 0.026,
      volumetricHeat: 0.005,
      startTemperature: conditions.plateTemperature,
    },
    1440,
  );
  const area = (0.985 * WIRE_AREA * feed) / travel;
  const width = (0.9 + 0.78 * pool.width + 0.1 * Math.sqrt(area)) * (1 + conditions.wetting);
  const height = heightForArea("circular-arc", area, width);
  const toe = (2 * Math.atan((2 * height) / width) * 180) / Math.PI;
  return {
    voltage,
    width,
    height,
    escapes: {
      stubbing: holds(0.182 - 0.012 * (standoff - 3) - share, 0.007),
      drops: holds(share - 0.075 - 0.018 * (standoff - 3), 0.006),
      balling: holds(84 - toe, 2.5),
      "burn-through": holds(7 - width - 0.008 * (conditions.plateTemperature - 25), 0.12),
    },
  };
}
