import { type Finding, requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { fixed, randomStream } from "../../numeric/index.js";
import { drawDrift, layAhead, sortedQuantile } from "./draws.js";
import type { DriftFit } from "./drift.js";
import type { StationSeries } from "./layer-log.js";

export interface StandoffForecastOptions {
  /** Layers ahead of the last measured one. */
  readonly layers: number;
  /** Planned rise after each layer, mm: one for all, or one each. */
  readonly rise: number | readonly number[];
  /** Stand-off at which the torch touches, mm. */
  readonly touch: number;
  /** Stand-off at which arc or gas cover is lost, mm. */
  readonly tooLong?: number;
  /** Of the bands. Default 0.9. */
  readonly level?: number;
  /** Simulated builds. Default 2000. */
  readonly draws?: number;
  readonly seed: number;
}

/** When something becomes likely. */
export interface EventForecast {
  /** The stand-off at which it happens, mm. */
  readonly at: number;
  /** Band and middle of the layer at which it first happens anywhere; null where beyond the forecast. */
  readonly layer: {
    readonly low: number | null;
    readonly middle: number | null;
    readonly high: number | null;
  };
  /** Chance that it has happened by the end of the forecast. */
  readonly chance: number;
  /** Chance that it has happened by each layer, in order. */
  readonly byLayer: readonly { readonly layer: number; readonly chance: number }[];
}

/** Stand-off over the layers to come. */
export interface StandoffForecast {
  /** Place by place, layer by layer, mm; one layer at a time. */
  readonly bands: readonly {
    readonly station: string;
    readonly layer: number;
    readonly expected: number;
    readonly low: number;
    readonly high: number;
  }[];
  readonly touch: EventForecast;
  readonly tooLong: EventForecast | null;
  readonly level: number;
  readonly draws: number;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/**
 * Forecasts the stand-off of the layers to come, and the layer at which a touch or the loss of the arc
 * becomes likely: many builds are simulated from what the log leaves possible. Stations of one log must
 * end at the same layer.
 *
 * The recursion is taken to hold on; a corner, a start, a new spool or a hotter part breaks it.
 *
 * @throws {BeadbenchError} `bad-argument` when options are out of range, or the last reading lies beyond one of the limits
 */
export function forecastStandoff(fit: DriftFit, options: StandoffForecastOptions): StandoffForecast {
  const { layers, touch, tooLong, level = 0.9, draws = 2000, seed } = options;
  requireCount("layers to forecast", layers, { min: 1, max: 5000 });
  requireNumber("stand-off at which the torch touches", touch, { min: -5, max: 60, unit: "mm" });
  requireNumber("stand-off that is too long", tooLong ?? touch + 1, { above: touch, unit: "mm" });
  requireNumber("level", level, { above: 0, below: 1 });
  requireCount("draws", draws, { min: 100 });
  const rises =
    typeof options.rise === "number" ? new Array<number>(layers).fill(options.rise) : options.rise;
  requireThat(rises.length === layers, `${layers} layers need as many rises, got ${rises.length}`);
  const lastLayers = fit.series.map(({ firstLayer, standoff }) => firstLayer + standoff.length - 1);
  const last = lastLayers[0]!;
  requireThat(
    lastLayers.every((layer) => layer === last),
    `the stations end at different layers (${lastLayers.join(", ")}): forecast from a log in which all are measured last`,
  );

  requireBetween(fit.series, touch, tooLong);

  const random = randomStream(seed);
  const values = fit.series.map(() => Array.from({ length: layers }, () => new Float64Array(draws)));
  const firstTouch = new Float64Array(draws).fill(Number.POSITIVE_INFINITY);
  const firstLoss = new Float64Array(draws).fill(Number.POSITIVE_INFINITY);
  const drawn = drawDrift(fit, fit.posterior.ahead, { count: draws, random: random.split("rig") });
  drawn.forEach(({ traits, places }, d) => {
    const noise = random.split(d);
    places.forEach((start, place) => {
      layAhead({
        traits,
        start,
        reference: fit.reference,
        rises,
        random: noise,
        visit: (n, standoff) => {
          values[place]![n]![d] = standoff;
          if (standoff <= touch) firstTouch[d] = Math.min(firstTouch[d]!, last + n + 1);
          if (tooLong !== undefined && standoff >= tooLong)
            firstLoss[d] = Math.min(firstLoss[d]!, last + n + 1);
        },
      });
    });
  });
  const touched = eventOf({ at: touch, first: firstTouch, last, layers, level });
  const lost = tooLong === undefined ? null : eventOf({ at: tooLong, first: firstLoss, last, layers, level });
  return {
    bands: fit.series.flatMap(({ station }, place) =>
      values[place]!.map((standoffs, n) => {
        standoffs.sort();
        return {
          station,
          layer: last + n + 1,
          expected: sortedQuantile(standoffs, 0.5),
          low: sortedQuantile(standoffs, (1 - level) / 2),
          high: sortedQuantile(standoffs, (1 + level) / 2),
        };
      }),
    ),
    touch: touched,
    tooLong: lost,
    level,
    draws,
    seed,
    findings: [
      ...warn("touch", "the torch touches", touched),
      ...(lost === null ? [] : warn("arc-loss", "the arc is lost", lost)),
    ],
  };
}

/** A torch that stands nearer than where it is said to touch has touched, one further than too long has lost the arc. */
function requireBetween(series: readonly StationSeries[], touch: number, tooLong: number | undefined): void {
  for (const { station, firstLayer, standoff } of series) {
    const place = standoff.findLastIndex((value) => value !== null);
    const last = standoff[place]!;
    const where = `the last stand-off of the log (${fixed(last, 2)} mm before layer ${firstLayer + place}${station === "" ? "" : ` at ${station}`})`;
    requireThat(
      touch < last,
      `the stand-off at which the torch touches must lie below ${where}, got ${fixed(touch, 2)} mm: give what is left when the torch meets the bead, such as 0.5 mm; one at which arc or gas cover is lost is the other limit, too long`,
    );
    requireThat(
      tooLong === undefined || tooLong > last,
      `the stand-off that is too long must lie above ${where}, got ${fixed(tooLong ?? 0, 2)} mm: give the one at which arc or gas cover is lost, or bring the torch back first and log on`,
    );
  }
}

function eventOf({
  at,
  first,
  last,
  layers,
  level,
}: {
  readonly at: number;
  readonly first: Float64Array;
  readonly last: number;
  readonly layers: number;
  readonly level: number;
}): EventForecast {
  first.sort();
  const count = first.length;
  const byLayer: { readonly layer: number; readonly chance: number }[] = [];
  let happened = 0;
  for (let layer = last + 1; layer <= last + layers; layer++) {
    while (happened < count && first[happened]! <= layer) happened++;
    byLayer.push({ layer, chance: happened / count });
  }
  // Ranks outward, so that the band holds at least its level of the simulated builds.
  const rank = (place: number): number | null => {
    const value = first[Math.min(count - 1, Math.max(0, place))]!;
    return Number.isFinite(value) ? value : null;
  };
  return {
    at,
    layer: {
      low: rank(Math.floor(((1 - level) / 2) * count)),
      middle: rank(Math.floor(count / 2)),
      high: rank(Math.ceil(((1 + level) / 2) * count) - 1),
    },
    chance: happened / count,
    byLayer,
  };
}

function warn(code: string, what: string, event: EventForecast): readonly Finding[] {
  const likely = event.byLayer.find(({ chance }) => chance >= 0.05);
  if (likely === undefined) return [];
  return [
    {
      code: `${code}-ahead`,
      severity: "warning",
      message: `one build in twenty reaches the stand-off at which ${what} (${fixed(event.at, 1)} mm) by layer ${likely.layer}`,
      advice: "measure and correct the stand-off before then, or trim the rise",
    },
  ];
}
