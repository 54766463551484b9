import { affineAt } from "./affine.js";
import type { LatentModel } from "./latent.js";
import { type ResponseLink, toLinkScale } from "./response-link.js";

/** What one coupon measured, and where. */
export interface MeasuredPoint {
  readonly measured: ReadonlyMap<string, number>;
  readonly point: Float64Array;
}

/** A latent as one coupon shows it: its response, less what the other latents (as measured) explain. */
export function latentValue(
  latent: LatentModel,
  link: ResponseLink,
  coupon: MeasuredPoint,
): number | undefined {
  const value = coupon.measured.get(link.response);
  if (value === undefined) return undefined;
  let rest = toLinkScale(link, value) - affineAt(link.offset, coupon.point);
  for (let l = 0; l < link.coefficients.length; l++) {
    const coefficient = link.coefficients[l]!;
    if (l === link.own || coefficient === 0) continue;
    const other = latent.links.find((candidate) => candidate.own === l)!;
    const otherValue = latentValue(latent, other, coupon);
    if (otherValue === undefined) return undefined;
    rest -= coefficient * otherValue;
  }
  return rest / link.coefficients[link.own]!;
}

/** Every latent that one coupon shows, by its place in the model. */
export function latentValues(latent: LatentModel, coupon: MeasuredPoint): ReadonlyMap<number, number> {
  return new Map(
    latent.links.flatMap((link) => {
      const value = latentValue(latent, link, coupon);
      return value === undefined ? [] : [[link.own, value] as const];
    }),
  );
}
