import { randomStream } from "../../lib/numeric/index.js";
import type { Factor, StudyDefinition } from "../../lib/study/index.js";
import { libraryOperator, type Operator } from "./closed-loop.js";
import type { RigOutcome } from "./rig.js";

type Settings = Readonly<Record<string, number | string>>;

/** The level of a factor nearest to a share of its range, or of its levels. */
function levelAt({ low, high, step, kind, levels }: Factor, share: number): number | string {
  if (kind === "category") return levels![Math.min(levels!.length - 1, Math.floor(share * levels!.length))]!;
  const value = low + Math.min(1, Math.max(0, share)) * (high - low);
  return Number((low + step! * Math.round((value - low) / step!)).toPrecision(9));
}

/** An operator whose coupons are spread at random over the region; the preset is the library's. */
export function scatteringOperator(definition: StudyDefinition, seed: number): Operator {
  const stream = randomStream(seed).split("scattered");
  const anywhere = (): Settings =>
    Object.fromEntries(definition.factors.map((factor) => [factor.name, levelAt(factor, stream.uniform())]));
  return libraryOperator(definition, seed, (_, count) => Array.from({ length: count }, anywhere));
}

/** How well a coupon turned out: failures lowest, then by the distance from the middle of the specifications. */
function merit(definition: StudyDefinition, { passed, measured }: RigOutcome): number {
  if (Object.values(passed).includes(false)) return Number.NEGATIVE_INFINITY;
  let sum = 0;
  for (const { name, spec } of definition.responses) {
    if (spec?.lower === undefined || spec.upper === undefined) continue;
    const half = 0.5 * (spec.upper - spec.lower);
    sum -= ((measured[name]! - 0.5 * (spec.upper + spec.lower)) / half) ** 2;
  }
  return sum;
}

/**
 * An operator who changes one factor at a time: a batch over the range of each in turn, the others at the best
 * coupon so far; from the second round on over half the range, then a quarter. The preset is the best coupon;
 * nothing is claimed of it.
 */
export function oneFactorOperator(definition: StudyDefinition, seed: number): Operator {
  const { factors } = definition;
  const stream = randomStream(seed).split("one factor");
  let here: Settings = Object.fromEntries(
    factors.map((f) => [f.name, levelAt(f, 0.3 + 0.4 * stream.uniform())]),
  );
  let best = Number.NEGATIVE_INFINITY;
  let batch = 0;
  let planned: readonly Settings[] = [];
  return {
    propose(count) {
      const factor = factors[batch % factors.length]!;
      const width = 0.5 ** Math.floor(batch / factors.length);
      const share =
        factor.kind === "category"
          ? 0.5
          : (Number(here[factor.name]) - factor.low) / (factor.high - factor.low);
      const from = Math.min(1 - width, Math.max(0, share - 0.5 * width));
      planned = Array.from({ length: count }, (_, i) => ({
        ...here,
        [factor.name]: levelAt(factor, from + (width * i) / (count - 1)),
      }));
      batch++;
      return planned;
    },
    record(outcomes) {
      outcomes.forEach((outcome, i) => {
        const found = merit(definition, outcome);
        if (found > best) [best, here] = [found, planned[i]!];
      });
    },
    preset: () => ({ settings: here, claimed: Number.NaN }),
    close() {},
  };
}
