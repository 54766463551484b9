import { BeadbenchError } from "../../errors/index.js";
import { suggestion } from "../shape/index.js";
import type { StudyData } from "./coupon.js";

/**
 * Holds coupons someone named to those of the study.
 *
 * @throws {BeadbenchError} `bad-argument` naming those that the study does not have
 */
export function requireCoupons({ coupons }: Pick<StudyData, "coupons">, named: readonly string[]): void {
  const known = coupons.map(({ id }) => id);
  const unknown = named.filter((id) => !known.includes(id));
  if (unknown.length === 0) return;
  const hint = unknown.length === 1 ? suggestion(unknown[0]!, known) : "";
  throw new BeadbenchError("bad-argument", `no coupon called ${unknown.join(", ")} in this study${hint}`);
}
