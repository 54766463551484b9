import { grouped } from "../../errors/index.js";
import type { Settings } from "../settings/index.js";
import type { CouponOutcome } from "./coupon-outcomes.js";
import type { RecordDoubt } from "./record-doubt.js";

/** The setting that tells days apart best when it is run once a day. Plain data. */
export interface ControlSetting {
  readonly settings: Settings;
  /** The last coupon run there. */
  readonly coupon: string;
  /** Blocks in which it gave dimensions. */
  readonly blocks: number;
}

/** A coupon under more doubt than this is no control. */
const DOUBTED = 0.2;

/**
 * The setting of a coupon that passed every check and was measured in full, in the most blocks so far; the latest of
 * several. Undefined before there is one.
 */
export function controlSetting({
  coupons,
  points,
  doubts,
  responses,
}: {
  readonly coupons: readonly CouponOutcome[];
  /** On the model's axes. */
  readonly points: readonly Float64Array[];
  readonly doubts: readonly RecordDoubt[];
  /** Responses that a coupon measured in full has. */
  readonly responses: number;
}): ControlSetting | undefined {
  const rows = coupons.map((coupon, i) => ({ ...coupon, key: points[i]!.join(" "), doubt: doubts[i]!.any }));
  const sound = rows.filter(
    ({ measured, passed, doubt }) =>
      measured.size === responses && doubt <= DOUBTED && [...passed.values()].every(Boolean),
  );
  const candidates = [...grouped(sound, ({ key }) => key).values()].map((group) => ({
    settings: group[0]!.settings,
    coupon: group.at(-1)!.id,
    blocks: new Set(group.map(({ block }) => block)).size,
  }));
  return candidates.reduce<ControlSetting | undefined>(
    (best, candidate) => (best !== undefined && best.blocks > candidate.blocks ? best : candidate),
    undefined,
  );
}
