import { counted } from "../numeric/index.js";

/** Points of one kind that a drawing holds at most: more run into each other, and make a page of megabytes. */
const MOST = 150;
/** Of these the ones that a chart is about. */
const MOST_NOTABLE = 50;

/** Rows to draw, and what a chart says where they are not all. */
export interface Thinned<T> {
  readonly drawn: readonly T[];
  /** Lines of a subtitle. */
  readonly said: readonly string[];
}

/**
 * Rows spread evenly over many, in their order; those that a chart is about come first. Few rows are all drawn. What a chart
 * counts, and how far its axes reach, goes by all rows.
 *
 * @param notable - which rows a chart is about, such as those outside their interval
 */
export function thinned<T>(
  rows: readonly T[],
  {
    row = "coupon",
    notable = () => false,
  }: { readonly row?: string; readonly notable?: (one: T, place: number) => boolean } = {},
): Thinned<T> {
  if (rows.length <= MOST) return { drawn: rows, said: [] };
  const places = rows.map((_, i) => i);
  const isAbout = rows.map(notable);
  const first = evenly(
    places.filter((i) => isAbout[i]),
    MOST_NOTABLE,
  );
  const others = evenly(
    places.filter((i) => !isAbout[i]),
    MOST - first.length,
  );
  const drawn = [...first, ...others].sort((a, b) => a - b).map((i) => rows[i]!);
  return { drawn, said: [`Drawn: ${drawn.length} of ${counted(rows.length, row)}, spread evenly.`] };
}

function evenly(places: readonly number[], most: number): readonly number[] {
  if (places.length <= most) return places;
  return Array.from({ length: most }, (_, k) => places[Math.floor(((k + 0.5) * places.length) / most)]!);
}
