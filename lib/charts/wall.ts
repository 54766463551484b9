import { brief, counted } from "../numeric/index.js";
import { axisTitle, type ChartPart, type ChartSpec, chart, inline, levelText, measure } from "./spec.js";
import { standoffLimits } from "./standoff-limits.js";
import { colours } from "./theme.js";

/** What {@link chartWall} draws; all lengths in mm. A layer schedule fits. */
export interface WallChartData {
  readonly layers: readonly {
    readonly layer: number;
    /** Before the layer; none before the first. */
    readonly rise: number;
    readonly standoff: number;
    readonly standoffLow: number;
    readonly standoffHigh: number;
    readonly relevel: boolean;
  }[];
  readonly standoff: number;
  readonly touch: number;
  readonly tooLong: number;
  /** Of the band, between 0 and 1. */
  readonly level: number;
}

/**
 * Rise before each layer, and below it the stand-off with its band, the lines of touch and too long, and the layers before
 * which it is levelled. What would lie below a touch is cut off, as the build has stopped by then.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no layer or a number is not finite
 */
export function chartWall({ layers, standoff, touch, tooLong, level }: WallChartData): ChartSpec {
  const floor = Math.min(0, touch);
  const ceiling = tooLong + (tooLong - touch);
  const within = (value: number): number => Math.min(ceiling, Math.max(floor, value));
  const rows = layers.map((row) => ({
    layer: row.layer,
    rise: row.rise,
    expected: within(row.standoff),
    low: within(row.standoffLow),
    high: within(row.standoffHigh),
  }));
  const x = measure("layer", "Layer", {
    axis: { tickMinStep: 1, format: "d" },
    scale: { zero: false, nice: false },
  });
  const cut = layers.find(({ standoffLow, standoffHigh }) => standoffLow < floor || standoffHigh > ceiling);
  const levelled = layers.filter(({ relevel }) => relevel);
  const data = inline("chartWall", "layers", rows);
  const title = axisTitle({ name: "stand-off", unit: "mm" });
  const rises: ChartPart = {
    width: 520,
    height: 130,
    data: { values: data.values.slice(rows.length > 1 ? 1 : 0) },
    mark: { type: "line", interpolate: "step", color: colours.measured.light },
    encoding: { x, y: measure("rise", "Rise before the layer (mm)") },
  };
  const standoffs: ChartPart = {
    width: 520,
    height: 220,
    layer: [
      {
        data,
        mark: { type: "area", color: colours.model.light, opacity: 0.22, clip: true },
        encoding: { x, y: measure("low", title), y2: { field: "high" } },
      },
      {
        data,
        mark: { type: "line", color: colours.model.light },
        encoding: { x, y: measure("expected", title) },
      },
      ...standoffLimits("chartWall", title, { touch, tooLong }),
      ...(levelled.length === 0
        ? []
        : [
            {
              data: inline(
                "chartWall",
                "levellings",
                levelled.map(({ layer }) => ({ layer, at: standoff })),
              ),
              mark: {
                type: "point",
                shape: "triangle-up",
                filled: true,
                size: 36,
                color: colours.measured.light,
              },
              encoding: { x, y: measure("at", title) },
            },
          ]),
    ],
  };
  const levellings =
    levelled.length === 0 ? "never levelled" : `levelled before ${counted(levelled.length, "layer")}`;
  return chart({
    description: `Schedule of ${counted(layers.length, "layer")}: rise before each layer, and stand-off with its ${levelText(level)} band, ${levellings}.${cut === undefined ? "" : ` The band is cut off from layer ${cut.layer} on.`}`,
    title: "Wall, layer by layer",
    subtitle: [
      `Line: expected stand-off; band: ${levelText(level)} per layer${levelled.length === 0 ? "" : "; triangles: levelled"}.`,
      ...(cut === undefined
        ? []
        : [`The band is cut off at ${brief(floor)} and ${brief(ceiling)} mm from layer ${cut.layer} on.`]),
    ],
    body: { vconcat: [rises, standoffs] },
  });
}
