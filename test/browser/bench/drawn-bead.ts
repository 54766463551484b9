/** A bead seen square from above, drawn: 20 px per mm, a bead of 6 mm between x = 340 and 460, a scale of 30 mm. */
const PIXELS_PER_MM = 20;
const left = 340;
const right = 460;
const SCALE = { y: 540, from: 100, to: 700 } as const;

/** How dark an edge is at a distance from it, px: blurred over some three pixels. */
const edge = (distance: number): number => 1 / (1 + Math.exp(-distance / 1.2));

function brightness(x: number, y: number): number {
  const bead = edge(x - left) * edge(right - x);
  const scale = y > SCALE.y - 8 && y < SCALE.y + 8 && x >= SCALE.from && x <= SCALE.to ? 0.9 : 0;
  return Math.max(0.25 + 0.55 * bead, scale);
}

const along = [120, 240, 360, 480];

/** The picture, and where its points belong. */
export const drawnBead = {
  width: 800,
  height: 600,
  brightness,
  /** mm. */
  bead: (right - left) / PIXELS_PER_MM,
  /** mm. */
  scale: (SCALE.to - SCALE.from) / PIXELS_PER_MM,
  marks: Object.fromEntries([
    ["Scale, one end", { x: SCALE.from, y: SCALE.y }],
    ["Scale, other end", { x: SCALE.to, y: SCALE.y }],
    ...along.flatMap((y, k) => [
      [`Left edge, point ${k + 1}`, { x: left, y }] as const,
      [`Right edge, point ${k + 1}`, { x: right, y }] as const,
    ]),
  ]) as Readonly<Record<string, { readonly x: number; readonly y: number }>>,
};
