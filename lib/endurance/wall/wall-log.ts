import { requireNumber, requireThat } from "../../errors/index.js";
import { STANDOFF_BOUNDS } from "../../models/index.js";

/** What was read at one layer of one wall; null for what was not read. */
export interface WallReading {
  /** Which wall. Default one wall. */
  readonly wall?: string;
  /** Counted from 1 at the base. */
  readonly layer: number;
  /** Stand-off before the layer is laid, mm. */
  readonly standoff: number | null;
  /** Height of the wall over its base once the layer is laid, mm. */
  readonly height: number | null;
  /** How far the torch is moved up after the layer, any correction included, mm; null: as after the layer before. */
  readonly rise: number | null;
  /** Of the place where the arc comes by, before the layer is laid, degC. */
  readonly temperature: number | null;
}

/** One wall in order. */
export interface WallSeries {
  readonly wall: string;
  /** Highest layer with a row. */
  readonly layers: number;
  /** Rise after each layer from 1 to `layers`, mm; null where the log tells none, so that heights alone are known. */
  readonly rise: readonly number[] | null;
  readonly readings: readonly HeightReading[];
}

/** A reading that tells of the height of a wall. */
export interface HeightReading {
  readonly kind: "standoff" | "height";
  readonly layer: number;
  /** mm. */
  readonly value: number;
}

/** Heights and layers that no home-built rig comes to. */
const MOST_LAYERS = 5000;
const HIGHEST = 5000;

/**
 * Sorts readings by wall and layer and fills in rises that hold on.
 *
 * @throws {BeadbenchError} `bad-argument` for a layer told twice, a stand-off without any rise, or a number that cannot be
 */
export function wallSeries(readings: readonly WallReading[]): readonly WallSeries[] {
  const walls = new Map<string, WallReading[]>();
  for (const reading of readings) {
    requireReading(reading);
    const rows = walls.get(reading.wall ?? "");
    if (rows === undefined) walls.set(reading.wall ?? "", [reading]);
    else rows.push(reading);
  }
  return [...walls].map(([wall, rows]) => seriesOf(wall, rows));
}

/** How a wall is called in a sentence. */
export const wallName = (wall: string): string => (wall === "" ? "the wall" : `wall "${wall}"`);

function seriesOf(wall: string, rows: readonly WallReading[]): WallSeries {
  const sorted = [...rows].sort((a, b) => a.layer - b.layer);
  sorted.forEach(({ layer }, i) => {
    requireThat(
      layer !== sorted[i - 1]?.layer,
      `${wallName(wall)} has layer ${layer} twice; void one of them`,
    );
  });
  const layers = sorted.at(-1)!.layer;
  const told = sorted.filter(({ rise }) => rise !== null);
  const first = told[0];
  requireThat(
    first !== undefined || sorted.every(({ standoff }) => standoff === null),
    `${wallName(wall)} has stand-offs and no rise: a stand-off tells the growth only beside how far the torch was raised; log the rise after each layer, or heights of the wall`,
  );
  let [next, current] = [0, first?.rise ?? 0];
  const rise =
    first === undefined
      ? null
      : Array.from({ length: layers }, (_, i) => {
          while (next < told.length && told[next]!.layer <= i + 1) current = told[next++]!.rise!;
          return current;
        });
  return {
    wall,
    layers,
    rise,
    readings: sorted.flatMap(({ layer, standoff, height }): HeightReading[] => [
      ...(standoff === null ? [] : [{ kind: "standoff" as const, layer, value: standoff }]),
      ...(height === null ? [] : [{ kind: "height" as const, layer, value: height }]),
    ]),
  };
}

function requireReading({ wall = "", layer, standoff, height, rise, temperature }: WallReading): void {
  const at = `of ${wallName(wall)}, layer ${layer},`;
  requireNumber(`layer of ${wallName(wall)}`, layer, { min: 1, max: MOST_LAYERS });
  requireThat(Number.isInteger(layer), `layers are counted in whole numbers, got ${layer}`);
  if (standoff !== null) requireNumber(`stand-off ${at}`, standoff, { ...STANDOFF_BOUNDS, unit: "mm" });
  if (height !== null) requireNumber(`height ${at}`, height, { above: 0, max: HIGHEST, unit: "mm" });
  if (rise !== null) requireNumber(`rise ${at}`, rise, { min: -20, max: 20, unit: "mm" });
  if (temperature !== null)
    requireNumber(`temperature ${at}`, temperature, { min: -60, max: 1600, unit: "degC" });
}
