/** A straight piece of a contour line. */
export interface Segment {
  readonly x: number;
  readonly y: number;
  readonly x2: number;
  readonly y2: number;
}

/**
 * The line along which a gridded quantity equals `level`, by linear interpolation along the edges of
 * each cell. Cells with a corner missing (`null`) carry no line. Where a cell is a saddle, the mean of
 * its corners decides which corners belong together.
 *
 * Method: marching squares, with the usual saddle rule.
 */
export function contourSegments({
  x,
  y,
  z,
  level,
}: {
  /** Ascending grid positions of the columns. */
  readonly x: readonly number[];
  /** Ascending grid positions of the rows. */
  readonly y: readonly number[];
  /** Values, `z[row][column]`. */
  readonly z: readonly (readonly (number | null)[])[];
  readonly level: number;
}): readonly Segment[] {
  const segments: Segment[] = [];
  for (let row = 0; row + 1 < y.length; row++) {
    for (let column = 0; column + 1 < x.length; column++) {
      const corners = [
        { x: x[column]!, y: y[row]!, z: z[row]![column]! },
        { x: x[column + 1]!, y: y[row]!, z: z[row]![column + 1]! },
        { x: x[column + 1]!, y: y[row + 1]!, z: z[row + 1]![column + 1]! },
        { x: x[column]!, y: y[row + 1]!, z: z[row + 1]![column]! },
      ];
      if (corners.every((corner) => corner.z !== null)) segments.push(...cellSegments(corners, level));
    }
  }
  return segments;
}

interface Corner {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

function cellSegments(corners: readonly Corner[], level: number): Segment[] {
  const crossings = corners.flatMap((from, side) => {
    const to = corners[(side + 1) % 4]!;
    if (from.z >= level === to.z >= level) return [];
    const t = (level - from.z) / (to.z - from.z);
    return [{ x: from.x + t * (to.x - from.x), y: from.y + t * (to.y - from.y) }];
  });
  if (crossings.length === 0) return [];
  const join = (i: number, j: number): Segment => ({
    ...crossings[i]!,
    x2: crossings[j]!.x,
    y2: crossings[j]!.y,
  });
  if (crossings.length === 2) return [join(0, 1)];
  // Saddle: all four sides are crossed. The line cuts off the two corners that differ from the centre.
  const centre = corners.reduce((sum, corner) => sum + corner.z, 0) / 4 >= level;
  return corners[0]!.z >= level === centre ? [join(0, 1), join(2, 3)] : [join(3, 0), join(1, 2)];
}
