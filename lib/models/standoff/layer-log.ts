import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { FIRST_LAYERS } from "../../process/index.js";
import { groupRows } from "../../study/index.js";

/** One layer of a build, at one place on it. */
export interface LayerReading {
  /** Counted from 1 at the base. */
  readonly layer: number;
  /** Stand-off measured before the layer is laid, mm; null when not measured. */
  readonly standoff: number | null;
  /** How far the torch is moved up after the layer, mm: programmed rise and any correction. */
  readonly rise: number;
  /** Place on the part, such as a quarter of a ring; places drift on their own. Default one place. */
  readonly station?: string;
}

/** Layers of one place in order, steady ones only, from the first to the last measured one. */
export interface StationSeries {
  readonly station: string;
  readonly firstLayer: number;
  /** mm; null where not measured. */
  readonly standoff: readonly (number | null)[];
  readonly rise: readonly number[];
}

/** Stand-offs a rig may have, mm; below 0 the torch has touched. Common practice, no source. */
export const STANDOFF_BOUNDS = { min: -1, max: 60 } as const;
/** Fewest measured layers of a place from which anything can be learnt. */
export const FEWEST_READINGS = 5;

/**
 * Sorts a layer log by place and layer and leaves the first layers out.
 *
 * @param skipLayers - layers 1 to this one are left out. Default {@link FIRST_LAYERS}
 * @throws {BeadbenchError} `bad-argument` for layers that repeat or are missing, `not-enough-data` when a place
 * has fewer than five measured layers
 */
export function stationSeries(
  readings: readonly LayerReading[],
  skipLayers: number = FIRST_LAYERS,
): readonly StationSeries[] {
  for (const reading of readings) {
    requireNumber("layer", reading.layer, { min: 1, max: 100_000 });
    requireThat(Number.isInteger(reading.layer), `layers are counted in whole numbers, got ${reading.layer}`);
    requireNumber(`rise after layer ${reading.layer}`, reading.rise, { min: -20, max: 20, unit: "mm" });
    if (reading.standoff !== null) {
      requireNumber(`stand-off before layer ${reading.layer}`, reading.standoff, {
        ...STANDOFF_BOUNDS,
        unit: "mm",
      });
    }
  }
  const later = readings.filter(({ layer }) => layer > skipLayers);
  const series = groupRows(later, ({ station = "" }) => station).map(({ key, rows }) => seriesOf(key, rows));
  if (series.length === 0) {
    throw new BeadbenchError(
      "not-enough-data",
      `no layer above the first ${skipLayers} is logged: drift takes at least ${FEWEST_READINGS} measured layers above them`,
    );
  }
  return series;
}

function seriesOf(station: string, readings: readonly LayerReading[]): StationSeries {
  const name = station === "" ? "the log" : `station "${station}"`;
  const sorted = [...readings].sort((a, b) => a.layer - b.layer);
  for (let i = 1; i < sorted.length; i++) {
    const [before, after] = [sorted[i - 1]!.layer, sorted[i]!.layer];
    requireThat(
      after === before + 1,
      after === before
        ? `${name} has layer ${after} twice; void one of them`
        : `${name} lacks layers ${before + 1} to ${after - 1}: log each layer's rise, with stand-off null where not measured`,
    );
  }
  const measured = sorted.flatMap(({ standoff }, i) => (standoff === null ? [] : [i]));
  if (measured.length < FEWEST_READINGS) {
    throw new BeadbenchError(
      "not-enough-data",
      `${name} has ${measured.length} measured layers above the first ones; drift takes at least ${FEWEST_READINGS}`,
    );
  }
  const used = sorted.slice(measured[0]!, measured.at(-1)! + 1);
  return {
    station,
    firstLayer: used[0]!.layer,
    standoff: used.map(({ standoff }) => standoff),
    rise: used.map(({ rise }) => rise),
  };
}
