import { affineAt } from "./affine.js";
import type { LatentModel } from "./latent.js";
import { type ResponseLink, toLinkScale } from "./response-link.js";

/** A latent as one coupon shows it: its response, less what the other latents (as measured) explain. */
export function latentValue(
  latent: LatentModel,
  link: ResponseLink,
  measured: ReadonlyMap<string, number>,
  point: Float64Array,
): number | undefined {
  const value = measured.get(link.response);
  if (value === undefined) return undefined;
  let rest = toLinkScale(link, value) - affineAt(link.offset, point);
  for (let l = 0; l < link.coefficients.length; l++) {
    const coefficient = link.coefficients[l]!;
    if (l === link.own || coefficient === 0) continue;
    const other = latent.links.find((candidate) => candidate.own === l)!;
    const otherValue = latentValue(latent, other, measured, point);
    if (otherValue === undefined) return undefined;
    rest -= coefficient * otherValue;
  }
  return rest / link.coefficients[link.own]!;
}
