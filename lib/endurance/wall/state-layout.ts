/** Place of the growth of the first steady layers, of the drop, of what the first layers have of their own, and of the knots. */
export const GROWTH = 0;
export const DROP = 1;
export const FIRST = 2;
/** Layers that have a growth of their own beside the course, and its sd as shares of the growth; common practice, no source. */
export const FIRST_SDS = [0.2, 0.08, 0.03] as const;
export const KNOTS = FIRST + FIRST_SDS.length;
/** The departure is none up to this layer. */
export const ANCHOR = 4;
/** Factor from knot to knot. */
const SPACING = 1.5;

/** Places of the unknowns in the state: shared ones first, then knots of the departure, then what each wall has of its own. */
export interface StateLayout {
  readonly size: number;
  /** Layers at which the departure has its knots. */
  readonly knots: readonly number[];
  /** What each layer's growth adds up from beside the drop. */
  readonly plan: readonly GrowthParts[];
  readonly wall: number;
  readonly wallDrop: number;
  readonly start: number;
  readonly standoff: number;
}

/** Unknowns that something adds up from, and their parts. */
export interface GrowthParts {
  readonly places: readonly number[];
  readonly parts: readonly number[];
}

/** The unknowns of walls of so many layers. */
export function stateLayout(layers: number): StateLayout {
  const knots: number[] = [];
  for (let at = ANCHOR * SPACING; ; at *= SPACING) {
    knots.push(at);
    if (at >= layers) break;
  }
  const wall = KNOTS + knots.length;
  return {
    size: wall + 4,
    knots,
    plan: growthPlan(knots, wall, layers),
    wall,
    wallDrop: wall + 1,
    start: wall + 2,
    standoff: wall + 3,
  };
}

/** What a layer's growth adds up from beside the drop, whose share the traits tell; layer by layer from 1. */
function growthPlan(knots: readonly number[], wall: number, layers: number): readonly GrowthParts[] {
  return Array.from({ length: layers }, (_, i) => {
    const layer = i + 1;
    const places = [GROWTH, wall];
    const parts = [1, 1];
    if (layer <= FIRST_SDS.length) {
      places.push(FIRST + i);
      parts.push(1);
    }
    if (layer > ANCHOR) {
      const above = knots.findIndex((knot) => knot >= layer);
      const [low, high] = [above === 0 ? ANCHOR : knots[above - 1]!, knots[above]!];
      const along = Math.log(layer / low) / Math.log(high / low);
      if (above > 0) {
        places.push(KNOTS + above - 1);
        parts.push(1 - along);
      }
      places.push(KNOTS + above);
      parts.push(along);
    }
    return { places, parts };
  });
}
