/**
 * Least value of a function by a simplex that reflects, stretches and shrinks: needs no derivatives, so that
 * the kink of an outline at its toe does not stop it. Finds one minimum; start it near.
 *
 * @param steps - first size of the simplex along each variable
 * @source Nelder and Mead, Computer Journal 7 (1965) 308
 */
export function searchSimplex(
  f: (x: readonly number[]) => number,
  start: readonly number[],
  steps: readonly number[],
): readonly number[] {
  const size = start.length;
  const corner = (x: readonly number[]) => ({ x, value: f(x) });
  let corners = [
    corner(start),
    ...start.map((_, j) => corner(start.map((v, i) => (i === j ? v + steps[j]! : v)))),
  ];
  for (let round = 0; round < 120 * size; round++) {
    corners = corners.sort((a, b) => a.value - b.value);
    const [best, worst] = [corners[0]!, corners[size]!];
    const spread = Math.max(...start.map((_, j) => Math.abs(worst.x[j]! - best.x[j]!) / steps[j]!));
    if (spread < 1e-5) break;
    const centre = start.map((_, j) => corners.slice(0, size).reduce((sum, { x }) => sum + x[j]!, 0) / size);
    const along = (share: number) => corner(centre.map((c, j) => c + share * (worst.x[j]! - c)));
    const reflected = along(-1);
    let next = reflected;
    if (reflected.value < best.value) {
      const stretched = along(-2);
      if (stretched.value < reflected.value) next = stretched;
    } else if (!(reflected.value < corners[size - 1]!.value)) {
      next = along(reflected.value < worst.value ? -0.5 : 0.5);
      if (!(next.value < Math.min(reflected.value, worst.value))) {
        corners = corners.map(({ x }) => corner(x.map((v, j) => best.x[j]! + (v - best.x[j]!) / 2)));
        continue;
      }
    }
    corners = [...corners.slice(0, size), next];
  }
  return corners.reduce((a, b) => (b.value < a.value ? b : a)).x;
}
