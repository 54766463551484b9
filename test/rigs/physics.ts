/**
 * Width of the isotherm `rise` above the base on a thick plate (Rosenthal 1946), solved numerically.
 *
 * @param q - W reaching the plate; `v` mm/s; `k` W/(mm K); `rhoC` J/(mm3 K)
 */
export function thickPlateWidth(q: number, v: number, k: number, rhoC: number, rise: number): number {
  if (q <= 0) return 0;
  const reach = q / (2 * Math.PI * k * rise);
  const twoA = (2 * k) / rhoC;
  const halfWidth = (r: number): number => {
    const xi = -r - (twoA / v) * Math.log(r / reach);
    return r * r - xi * xi;
  };
  let low = 1e-4 * reach;
  let high = reach;
  for (let i = 0; i < 40; i++) {
    const a = high - 0.618 * (high - low);
    const b = low + 0.618 * (high - low);
    if (halfWidth(a) < halfWidth(b)) low = a;
    else high = b;
  }
  return 2 * Math.sqrt(Math.max(halfWidth(0.5 * (low + high)), 0));
}

/** Height of the circular segment of a given chord and area, by bisection. */
export function segmentHeight(width: number, area: number): number {
  const areaOf = (h: number): number => {
    const radius = (width * width) / (8 * h) + h / 2;
    const angle = 2 * Math.atan((2 * h) / width);
    return radius * radius * (angle - Math.sin(angle) * Math.cos(angle));
  };
  let low = 1e-6;
  let high = 4 * width;
  for (let i = 0; i < 44; i++) {
    const middle = 0.5 * (low + high);
    if (areaOf(middle) < area) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
}

/** Cross-section of a round wire, mm2. */
export const wireSection = (diameter: number): number => (Math.PI * diameter * diameter) / 4;
