import type { Issue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import type { Entry, EntryBody } from "../journal/index.js";
import type { Coupon } from "./coupon.js";
import { prepareEntries } from "./prepare-entries.js";
import { replay } from "./replay.js";

/** The coupons that entries would make, were they the whole journal of a study; nothing is written. */
export function couponsOf(
  definition: StudyDefinition,
  bodies: readonly EntryBody[],
): { readonly coupons: readonly Coupon[]; readonly issues: readonly Issue[] } {
  const { bodies: ready, issues } = prepareEntries(definition, [], bodies);
  // No journal seals them: neither time nor hashes mean anything.
  const seal = { time: new Date(0).toISOString(), prev: "", hash: "" };
  const entries = ready.map((body, i): Entry => ({ ...body, seq: i + 1, ...seal }));
  return { coupons: replay(definition, entries).coupons, issues };
}
