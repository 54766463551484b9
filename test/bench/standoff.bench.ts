import { fitDrift, forecastStandoff } from "../../lib/models/index.js";
import { mean, randomStream } from "../../lib/numeric/index.js";
import { buildOf, rigNames } from "../models/standoff/rigs.js";

const TOUCH = 0.5;

/** Forecasts many builds of one kind and prints how the forecasts fared. */
function fare(kind: string, layers: number, logs: number, gaps: number): void {
  const rows = Array.from({ length: logs }, (_, i) => {
    const build = buildOf(kind, layers, randomStream(1000 * layers + i).split(kind), { gaps });
    const fit = fitDrift(build.log, { gaugeSd: build.gaugeSd, ...(layers < 10 ? { skipLayers: 0 } : {}) });
    const { bands, touch } = forecastStandoff(fit, {
      layers: 20,
      rise: build.rise,
      touch: TOUCH,
      seed: i,
      draws: 1000,
    });
    const { low, high } = bands.at(-1)!;
    const end = build.ahead[19]!;
    return {
      held: low <= end && end <= high ? 1 : 0,
      below: end < low ? 1 : 0,
      width: (high - low) / build.layerSd,
      claimed: touch.chance,
      touched: build.ahead.some((s) => s <= TOUCH) ? 1 : 0,
      away: fit.verdict === "runs-away" ? 1 : 0,
      settles: fit.verdict === "self-regulating" ? 1 : 0,
    };
  });
  const share = (key: keyof (typeof rows)[number]): string =>
    (100 * mean(rows.map((row) => row[key]))).toFixed(1).padStart(6);
  const widths = rows.map(({ width }) => width).sort((a, b) => a - b);
  console.log(
    `  ${kind.padEnd(17)} ${String(layers).padStart(3)}${gaps > 0 ? " gaps" : "     "} held ${share("held")} below ${share("below")} | width/scatter ${widths[logs >> 1]!.toFixed(1).padStart(6)} | touch claimed ${share("claimed")} true ${share("touched")} | runs away ${share("away")} settles ${share("settles")}`,
  );
}

/** Twenty layers ahead of logs of many rigs, none of which (but the steady one) the fitted model holds. */
export function benchStandoff(logs = Number(process.env.LOGS ?? 150)): void {
  console.log("  shares in %; 90 % bands 20 layers ahead");
  const lengths = process.env.LENGTHS?.split(",").map(Number) ?? [30, 5, 10, 100, 500];
  for (const layers of lengths)
    for (const kind of rigNames) fare(kind, layers, layers > 100 ? Math.ceil(logs / 5) : logs, 0);
  if (process.env.LENGTHS === undefined) for (const kind of rigNames) fare(kind, 30, logs, 0.3);
}
