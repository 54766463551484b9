import { BeadbenchError, ownValue } from "../../errors/index.js";
import { type Coupon, matchKind, type Response, resultOf, type StudyData } from "../../study/index.js";
import { type ResponseScale, responseData, responseScale, type ScaleName } from "../bead/index.js";
import type { CouponGroups } from "./groups.js";

/** A coupon as a comparison takes it. */
export interface GroupRow {
  readonly coupon: Coupon;
  /** The response on the scale it is compared on. */
  readonly y: number;
  readonly label: string;
  readonly within: string | undefined;
}

/** The coupons of all groups on which one response was measured or graded. */
export interface GroupRows {
  readonly response: Response;
  readonly scaleName: ScaleName;
  readonly scale: ResponseScale;
  readonly rows: readonly GroupRow[];
}

/**
 * Gathers a measured response on its own scale (its logarithm, where it is positive), a grade as a number.
 *
 * @param study - with those coupons that may be compared
 * @throws {BeadbenchError} `not-enough-data` where one of the two groups has no coupon with it, or all have one value
 */
export function groupRows(
  { definition, coupons }: StudyData,
  response: Response,
  groups: CouponGroups,
): GroupRows {
  const placed = coupons.filter(
    (coupon) =>
      groups.labelOf(coupon) !== undefined &&
      definition.factors.every(({ name }) => ownValue(coupon.settings, name) !== undefined),
  );
  const { scaleName, values } = valuesOf({ definition, coupons: placed }, response);
  const scale = responseScale(scaleName, response.unit);
  const rows = placed.flatMap((coupon): GroupRow[] => {
    const value = values.get(coupon.id);
    if (value === undefined) return [];
    const y = scale.forward(value);
    return [{ coupon, y, label: groups.labelOf(coupon)!, within: groups.within(coupon) }];
  });
  for (const side of [groups.a, groups.b]) {
    if (rows.some(({ label }) => label === side)) continue;
    throw new BeadbenchError("not-enough-data", `no coupon of ${side} has a value`);
  }
  return { response, scaleName, scale, rows };
}

function valuesOf(
  data: StudyData,
  { name, kind }: Response,
): { readonly scaleName: ScaleName; readonly values: ReadonlyMap<string, number> } {
  if (kind === "measured") {
    const { scale, coupons, y } = responseData(data, name);
    return { scaleName: scale, values: new Map(coupons.map((id, i) => [id, y[i]!])) };
  }
  const values = data.coupons.flatMap((coupon): (readonly [string, number])[] => {
    const result = resultOf(coupon, name);
    const grade =
      result &&
      matchKind<number | undefined>(result, {
        measured: () => undefined,
        passFail: () => undefined,
        grade: (one) => one.grade,
      });
    return grade === undefined ? [] : [[coupon.id, grade]];
  });
  return { scaleName: "linear", values: new Map(values) };
}
