import { type PowerLawData, withPowerLawRows } from "../../../lib/models/bead/power-law-data.js";
import { responseData } from "../../../lib/models/bead/response-data.js";
import type { StudyData } from "../../../lib/study/index.js";

/** Gathers the coupons with this response as rows of a power law. */
export function powerLawData(
  { definition, coupons }: StudyData,
  response: string,
  options: { readonly without?: readonly string[] } = {},
): PowerLawData {
  return withPowerLawRows(definition, responseData({ definition, coupons }, response, options));
}
