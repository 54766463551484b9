import { fitPowerLaw, predictForm } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";

/** Exponents of the simulated width: the feed moves from day to day, the others within a day. */
export const exponents = { current: 0.7, travel_speed: -0.45, wire_feed_speed: 0.1 } as const;
type Name = keyof typeof exponents;
const middle: Readonly<Record<Name, number>> = { current: 140, travel_speed: 170, wire_feed_speed: 1.1 };

export interface Days {
  readonly days: number;
  readonly perDay: number;
  /** Standard deviation of a day's shift, and of scatter, of ln width. */
  readonly shift: number;
  readonly scatter: number;
}

const logWidth = (settings: Readonly<Record<string, number | string>>): number =>
  Object.entries(exponents).reduce(
    (sum, [name, b]) => sum + b * Math.log(Number(settings[name]) / middle[name as Name]),
    Math.log(6),
  );

/** A study of beads of several days, and one more bead of a day to come. */
export function simulateDays(seed: number, { days, perDay, shift, scatter }: Days) {
  const rng = randomStream(seed);
  const between = (low: number, high: number): number => low * (high / low) ** rng.uniform();
  const bead = (id: string, day: number, feed: number, ofDay: number) => {
    const settings = {
      current: between(100, 200),
      travel_speed: between(100, 300),
      wire_feed_speed: feed,
    };
    const width = Math.exp(logWidth(settings) + ofDay + scatter * rng.normal());
    const logged = coupon(id, {
      settings,
      blocks: { day: String(day) },
      measured: { bead_width: width },
    });
    return { logged, width };
  };
  const beads = Array.from({ length: days }, (_, d) => {
    const [feed, ofDay] = [between(0.6, 2), shift * rng.normal()];
    return Array.from({ length: perDay }, (__, k) => bead(`D${d + 1}-${k + 1}`, d + 1, feed, ofDay));
  }).flat();
  const next = bead("next", days + 1, between(0.7, 1.7), shift * rng.normal());
  return { beads, next };
}

/** The study of a width, with its days as blocks or without. */
export const widthByDay = (blocks: readonly string[]) =>
  tigDefinition({ responses: [{ name: "bead_width", unit: "mm", kind: "measured" }], blocks });

/** Which of the power law's intervals hold the truth, and whether that of the next coupon holds the bead of a new day. */
export function held(seed: number, size: Days, blocks: readonly string[]): readonly boolean[] {
  const definition = widthByDay(blocks);
  const { beads, next } = simulateDays(seed, size);
  const coupons = beads.map(({ logged }) => logged);
  const form = fitPowerLaw(powerLawData({ definition, coupons }, "bead_width"), "proportional");
  const [said] = predictForm({ definition }, form, [next.logged.settings]);
  return [
    ...form.coefficients.map(({ term, lower, upper }) => {
      const truth = exponents[term as Name];
      return lower <= truth && truth <= upper;
    }),
    said!.prediction.lower <= next.width && next.width <= said!.prediction.upper,
  ];
}
