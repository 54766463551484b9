import type { Command } from "commander";
import { chartLayerLog, chartStandoff, renderSvg } from "../../charts/index.js";
import { requireThat } from "../../errors/index.js";
import {
  type DriftFit,
  fitDrift,
  forecastStandoff,
  type HoldingRise,
  holdingRise,
  type LayerReading,
  STANDOFF_BOUNDS,
  type StandoffForecast,
} from "../../models/index.js";
import { levelPercent, percent, significant } from "../../numeric/index.js";
import { readTable, type TableSource } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { findingsText } from "../text.js";

interface StandoffOptions extends DecimalOptions {
  readonly gaugeSd: number;
  readonly rise?: number;
  readonly touch: number;
  readonly tooLong?: number;
  readonly layers: number;
  readonly target?: number;
  readonly seed: number;
  readonly svg?: string;
  readonly logSvg?: string;
  readonly json?: boolean;
}

const verdicts: Readonly<Record<DriftFit["verdict"], string>> = {
  "self-regulating": "the rig regulates itself: a longer stand-off makes taller layers and closes again",
  "runs-away": "the rig runs away: a longer stand-off makes lower layers and grows on",
  "cannot-tell": "the log cannot tell whether the rig regulates itself or runs away",
};

const millimetres = quantityIn("mm");

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption(
      "--gauge-sd <length>",
      'scatter of the stand-off gauge, such as "0.05 mm" (required)',
      millimetres,
    )
    .option("--rise <length>", "rise after each layer to come (default: that of the last layer)", millimetres)
    .option("--touch <length>", "stand-off at which the torch touches", millimetres, 0.5)
    .option("--too-long <length>", "stand-off at which arc or gas cover is lost", millimetres)
    .option("--layers <n>", "layers to forecast", wholeNumber(1), 50)
    .option("--target <length>", "stand-off to hold (default: the mean so far)", millimetres)
    .option("--seed <n>", "seed of the simulated builds", wholeNumber(0), 1)
    .addOption(new DecimalOption())
    .addOption(new OutputOption("--svg <file>", "draw the forecast"))
    .addOption(new OutputOption("--log-svg <file>", "draw the log: stand-off and rise, layer by layer"))
    .action(async (file: string, options: StandoffOptions) => {
      const readings = layerReadings(await readText(io, file), { file, decimal: options.decimal });
      const drift = fitDrift(readings, { gaugeSd: options.gaugeSd });
      const rise = options.rise ?? readings.at(-1)?.rise ?? 0;
      const forecast = forecastStandoff(drift, {
        layers: options.layers,
        rise,
        touch: options.touch,
        ...(options.tooLong === undefined ? {} : { tooLong: options.tooLong }),
        seed: options.seed,
      });
      const target = options.target ?? drift.reference;
      const holding = holdingRise(drift, {
        standoff: target,
        margin: Math.max(0.1, target - options.touch),
        seed: options.seed,
      });
      if (options.svg !== undefined)
        writeText(io, options.svg, await renderSvg(drawForecast(readings, forecast, options)));
      if (options.logSvg !== undefined)
        writeText(io, options.logSvg, await renderSvg(drawLog(readings, options)));
      answer({
        io,
        options,
        result: { drift, forecast, holding },
        text: () => standoffText({ drift, forecast, holding, rise, target, layers: options.layers }),
      });
    });
}

function requireStandoff(standoff: number): void {
  requireThat(
    standoff >= STANDOFF_BOUNDS.min && standoff <= STANDOFF_BOUNDS.max,
    `a stand-off is at least ${STANDOFF_BOUNDS.min} mm and at most ${STANDOFF_BOUNDS.max} mm; check the decimal mark and the unit, or leave the cell empty where nothing was measured; read as ${significant(standoff)} mm`,
  );
}

function layerReadings(text: string, source: TableSource): readonly LayerReading[] {
  return readTable(
    text,
    [
      { name: "layer", unit: "1" },
      { name: "standoff", unit: "mm", optional: true, check: requireStandoff },
      { name: "rise", unit: "mm" },
      { name: "station", unit: "text", optional: true },
    ],
    source,
  ).map(({ layer, standoff, rise, station }) => ({
    layer: Number(layer),
    standoff: standoff === undefined ? null : Number(standoff),
    rise: Number(rise),
    ...(station === undefined ? {} : { station: String(station) }),
  }));
}

function standoffText({
  drift,
  forecast,
  holding,
  rise,
  target,
  layers,
}: {
  readonly drift: DriftFit;
  readonly forecast: StandoffForecast;
  readonly holding: HoldingRise;
  readonly rise: number;
  readonly target: number;
  readonly layers: number;
}): string {
  const range = (x: { readonly lower: number; readonly upper: number }): string =>
    `${significant(x.lower)} to ${significant(x.upper)}`;
  const event = (what: string, found: StandoffForecast["touch"]): string => {
    const { low, middle, high } = found.layer;
    const when =
      middle === null
        ? "not within the forecast, more likely than not"
        : `about layer ${middle} (${levelPercent(forecast.level)} band ${low ?? "?"} to ${high ?? "beyond the forecast"})`;
    return `${what} at ${significant(found.at)} mm: ${when}; chance by the end ${percent(found.chance)}\n`;
  };
  return [
    `Layer height ${drift.growth.map((g) => `${g.station === "" ? "" : `${g.station} `}${significant(g.estimate)} mm (${range(g)})`).join(", ")} at stand-off ${significant(drift.reference)} mm\n`,
    `Slope of layer height on stand-off ${slopeText(drift)}: ${verdicts[drift.verdict]}\n`,
    `Scatter of a layer ${significant(drift.layerSd.estimate)} mm\n\n`,
    `Forecast with a rise of ${significant(rise, 4)} mm per layer\n`,
    event("  touch", forecast.touch),
    forecast.tooLong === null ? "" : event("  arc or gas cover lost", forecast.tooLong),
    `\nRise that holds ${significant(target)} mm: ${significant(holding.common, 4)} mm per layer; measure and correct at least every ${layersText(Math.min(holding.correctEvery, layers))}\n`,
    drift.findings.length + forecast.findings.length === 0
      ? ""
      : `\n${findingsText([...drift.findings, ...forecast.findings])}`,
    "\nAn estimate from one log: watch the build, and stop and check when the stand-off leaves its band.\n",
  ].join("");
}

const layersText = (count: number): string => (count === 1 ? "layer" : `${count} layers`);

/** An interval of width 0 comes of rigs that do not answer at all, which are believed in beside the others. */
function slopeText({
  slope: { estimate, lower, upper },
  level,
  chanceRegulating,
  chanceRunsAway,
}: DriftFit): string {
  return lower === upper
    ? `most likely ${significant(estimate)}, no answer at all (chance that it regulates ${percent(chanceRegulating, 1)}, that it runs away ${percent(chanceRunsAway, 1)})`
    : `${significant(estimate)} (${levelPercent(level)} interval ${significant(lower)} to ${significant(upper)})`;
}

function drawForecast(
  readings: readonly LayerReading[],
  forecast: StandoffForecast,
  options: StandoffOptions,
) {
  const station = forecast.bands[0]?.station ?? "";
  return chartStandoff({
    name: "stand-off",
    level: forecast.level,
    touch: options.touch,
    ...(options.tooLong === undefined ? {} : { tooLong: options.tooLong }),
    forecast: forecast.bands.filter((band) => band.station === station),
    measured: readings.flatMap((reading) =>
      reading.standoff === null || (reading.station ?? "") !== station
        ? []
        : [{ layer: reading.layer, value: reading.standoff }],
    ),
  });
}

/** The log itself, stand-off station by station above the rise. */
function drawLog(readings: readonly LayerReading[], { touch, tooLong }: StandoffOptions) {
  const measured = readings.flatMap(({ layer, standoff, station = "" }) =>
    standoff === null ? [] : [{ station, layer, value: standoff }],
  );
  const stations = [...new Set(measured.map(({ station }) => station))];
  return chartLayerLog({
    series: [
      ...stations.map((station) => ({
        quantity: { name: `standoff ${station}`.trim(), unit: "mm" },
        readings: measured.filter(({ station: at }) => at === station),
        lower: touch,
        ...(tooLong === undefined ? {} : { upper: tooLong }),
      })),
      {
        quantity: { name: "rise", unit: "mm" },
        readings: readings
          .filter(({ station = "" }) => station === stations[0])
          .map(({ layer, rise }) => ({ layer, value: rise })),
      },
    ],
  });
}
