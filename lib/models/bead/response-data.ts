import { BeadbenchError, type Finding, onlyDefined } from "../../errors/index.js";
import { counted, rounds } from "../../numeric/index.js";
import type { Fold } from "../../regression/index.js";
import { type Coupon, measuredOf, type StudyData } from "../../study/index.js";
import { convert, withUnit } from "../../units/index.js";
import { measuredSize } from "../physical/index.js";
import type { Settings } from "../settings/index.js";
import { type CouponBlocks, couponBlocks } from "./block-shifts.js";
import { foldsOf } from "./left-out.js";
import type { ScaleName } from "./response-scale.js";

/** The coupons on which a response was measured, ready to be fitted by any form. */
export interface ResponseData {
  readonly response: string;
  readonly unit: string;
  /** The scale the response calls for. */
  readonly scale: ScaleName;
  readonly coupons: readonly string[];
  /** The settings of each coupon, in the factors' units. */
  readonly settings: readonly Settings[];
  /** The response, in its unit, per coupon. */
  readonly y: readonly number[];
  /** The block of each coupon, where the study has blocks and more than one was run. */
  readonly blocks?: CouponBlocks;
  /** What is left out together, to be foreseen from the rest. */
  readonly folds: readonly Fold[];
  readonly findings: readonly Finding[];
}

/** Coupons that can enter a fit: logged, not voided, not left out by the user. */
export function usableCoupons(
  coupons: readonly Coupon[],
  without: readonly string[] = [],
): readonly Coupon[] {
  return coupons.filter(({ id, state }) => state === "logged" && !without.includes(id));
}

/**
 * Gathers the coupons with a response and chooses its scale. A response that is 0 or below on some coupon, and may
 * be, is modelled on the linear scale with all its coupons; a size that cannot be 0 loses those coupons, and the
 * findings name them.
 *
 * @throws {BeadbenchError} `not-enough-data` when no two coupons differ in the response
 */
export function responseData(
  { definition, coupons }: StudyData,
  response: string,
  options: { readonly without?: readonly string[] } = {},
): ResponseData {
  const declared = definition.responses.find(({ name }) => name === response);
  const unit = declared?.unit ?? "1";
  const measured = usableCoupons(coupons, options.without).flatMap((coupon) => {
    const value = measuredOf(coupon, response);
    return value === undefined ? [] : [{ id: coupon.id, coupon, settings: coupon.settings, value }];
  });
  const size = measuredSize({ name: response, unit });
  // A toe angle lies between 0 and 180 degrees.
  const angle = size?.role === "toe-angle";
  const atMost = angle ? convert(180, "deg", unit) : Number.POSITIVE_INFINITY;
  const sound = measured.filter(({ value }) => value > 0 && value < atMost);
  const strange = measured.filter((coupon) => !sound.includes(coupon)).map(({ id }) => id);
  const positive = declared?.scale === "log" || size?.positive === true;
  const kept = positive ? sound : measured;
  if (new Set(kept.map(({ value }) => value)).size < 2) {
    throw new BeadbenchError(
      "not-enough-data",
      kept.length < 2
        ? `${response}: ${kept.length === 0 ? "no coupon has" : "only one coupon has"} a value to fit`
        : `${response}: all ${kept.length} coupons have the same value, ${withUnit(String(rounds(kept[0]!.value)), unit)}; there is nothing to fit`,
    );
  }
  const blocks = couponBlocks(
    definition,
    kept.map(({ coupon }) => coupon),
  );
  const settings = kept.map((coupon) => coupon.settings);
  return {
    response,
    unit,
    scale: angle ? "half-angle" : positive || strange.length === 0 ? "log" : "linear",
    coupons: kept.map(({ id }) => id),
    settings,
    y: kept.map(({ value }) => value),
    ...onlyDefined({ blocks }),
    folds: foldsOf(definition, settings, blocks?.labels),
    findings:
      strange.length === 0 ? [] : [strangeValues({ response, coupons: strange, dropped: positive, angle })],
  };
}

function strangeValues({
  response,
  coupons,
  dropped,
  angle,
}: {
  readonly response: string;
  readonly coupons: readonly string[];
  readonly dropped: boolean;
  readonly angle: boolean;
}): Finding {
  const count = `${counted(coupons.length, "coupon")}`;
  const names = coupons.join(", ");
  return dropped
    ? {
        code: "not-positive",
        severity: "warning",
        message: `${response}: ${count} with a value ${angle ? "outside 0 to 180 degrees" : "of 0 or below"} cannot be fitted and ${coupons.length === 1 ? "is" : "are"} left out (${names})`,
        advice: "if it was not measured leave the cell empty; zero is a measurement",
        about: coupons,
      }
    : {
        code: "zero-or-below",
        severity: "info",
        message: `${response}: ${count} with a value of 0 or below (${names}), so the response is fitted as it is, not by powers, and scatter is taken as the same everywhere`,
        advice: "if it was not measured leave the cell empty; zero is a measurement",
        about: coupons,
      };
}
