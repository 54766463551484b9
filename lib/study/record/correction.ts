import { BeadbenchError } from "../../errors/index.js";
import type { CorrectedBody } from "../journal/index.js";
import { effectiveEntries } from "../journal/index.js";
import type { Study } from "./study.js";

/** What a correction changes, and why. */
export type CorrectionChange = Omit<CorrectedBody, "kind" | "entry">;

/**
 * The journal entry that corrects columns of a coupon: it names the latest entry that holds all of them.
 *
 * @throws {BeadbenchError} `not-found` when no entry of the coupon holds them
 */
export function correctionOf(study: Study, coupon: string, change: CorrectionChange): CorrectedBody {
  const { values = {}, readings = {}, units = {} } = change;
  const names = [...new Set([...Object.keys(values), ...Object.keys(readings), ...Object.keys(units)])];
  const holder = effectiveEntries(study.entries)
    .filter((entry) => entry.coupon === coupon)
    .reverse()
    .find((entry) =>
      names.every((name) => Object.hasOwn(entry.values, name) || Object.hasOwn(entry.readings ?? {}, name)),
    );
  if (holder !== undefined) return { kind: "corrected", entry: holder.seq, ...change };
  const message = study.coupons.some(({ id }) => id === coupon)
    ? `no entry of coupon ${coupon} holds ${names.join(" and ")}; log the value, or correct one column at a time`
    : `there is no coupon ${coupon}`;
  throw new BeadbenchError("not-found", message);
}
