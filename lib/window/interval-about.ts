/**
 * The middle 90 % of posterior draws of a share, widened where needed to hold its estimate: a chance averaged over
 * all that is open is no draw's own, and lies outside the middle of the draws where a few of them decide it, or
 * where it counts doubt that draws of the models do not carry. It so holds at least 90 % of the draws.
 *
 * @param draws - sorted in place
 */
export function intervalAbout(
  estimate: number,
  draws: Float64Array,
): readonly [lower: number, upper: number] {
  draws.sort();
  const at = (share: number): number => draws[Math.round(share * (draws.length - 1))]!;
  return [Math.min(estimate, at(0.05)), Math.max(estimate, at(0.95))];
}
