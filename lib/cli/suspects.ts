import type { Finding } from "../errors/index.js";
import { selectLayers } from "../models/physical/index.js";
import type { StudyCheck } from "../models/plausibility/index.js";
import type { Study } from "../study/record/index.js";

/** Logged coupons from which on the others say enough of each. */
const FEWEST = 8;
/** Posterior draws: only averages are asked of them. */
const DRAWS = 16;
/** Findings of a check that name a coupon for what its record says, so that it need not be named twice. */
const NAMED = [
  "drop-out",
  "stray-reading",
  "impossible-size",
  "setting-slip",
  "pen-slip",
  "exchanged-values",
  "station-slip",
  "verdict-slip",
  "unit-slip",
];

/**
 * The coupons that the outcome model holds for suspect and the check does not name already, with what to measure or run
 * again. The model is loaded where it is asked and not before: most checks come after a coupon or two.
 */
export async function suspectsBeside(
  { definition, coupons }: Study,
  { refused, counts, findings }: StudyCheck,
): Promise<readonly Finding[]> {
  if (refused || counts.logged < FEWEST) return [];
  const { buildOutcomeModel } = await import("../models/outcome/index.js");
  const logged = coupons.filter(({ state }) => state === "logged");
  const { coupons: selected } = selectLayers({ coupons: logged });
  const model = buildOutcomeModel({ definition, coupons: selected }, { draws: DRAWS });
  const named = new Set(findings.flatMap(({ code, about }) => (NAMED.includes(code) ? (about ?? []) : [])));
  return model.findings.filter(
    ({ code, about }) => code === "suspect-coupon" && about?.every((coupon) => named.has(coupon)) !== true,
  );
}
