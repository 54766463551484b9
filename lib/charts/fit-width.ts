import { ownValue } from "../errors/index.js";
import type { ChartPart } from "./spec.js";
import { wrapLines } from "./text-width.js";
import { chartConfig } from "./theme.js";

/** A plot is never made narrower than this, px. */
const NARROWEST = 120;
/** Room that one of several plots side by side should have, axis and all, px. */
const PANEL = 290;
/** A view less wide than this many times its height keeps its shape, and grows by no more than this. */
const SQUARE = { aspect: 1.3, growth: 1.35 } as const;

/** A drawing less wide than this has its legends below, px. */
const LEGEND_BESIDE = 460;
const LEGEND_BELOW = {
  ...chartConfig.legend,
  orient: "bottom",
  columns: 1,
  // From the left edge of the drawing on, not only below the plot.
  layout: { bottom: { anchor: "start", bounds: "full" } },
};

const isNumber = (value: unknown): value is number => typeof value === "number";
const parts = (value: unknown): readonly ChartPart[] => (Array.isArray(value) ? value : []);

/** Plots side by side as many as find room in a drawing so wide; in a narrow one legends stand below. */
export function arranged<T extends ChartPart>(spec: T, width: number): T {
  const legendsBelow =
    width < LEGEND_BESIDE ? { config: { ...(spec.config as object), legend: LEGEND_BELOW } } : {};
  if (!isNumber(spec.columns)) return { ...spec, ...legendsBelow };
  const room = Math.floor((width + chartConfig.concat.spacing) / (PANEL + chartConfig.concat.spacing));
  const columns = Math.max(1, Math.min(room, parts(spec.concat).length));
  return { ...spec, ...legendsBelow, columns };
}

/** A column per setting is never made narrower than this, px, and grows by no more than this. */
const STEP = { narrowest: 26, growth: 1.6 } as const;

/** The plots of a drawing made wider in all by so many px, or narrower. */
export function widened<T extends ChartPart>(spec: T, by: number): T {
  const columns = isNumber(spec.columns) ? spec.columns : 1;
  const each = (key: string, share: number): ChartPart =>
    key in spec ? { [key]: parts(ownValue(spec, key)).map((part) => widened(part, by / share)) } : {};
  return {
    ...spec,
    ...each("vconcat", 1),
    ...each("hconcat", parts(spec.hconcat).length),
    ...each("concat", columns),
    ...sized(spec, by),
  };
}

function sized({ width, height, encoding }: ChartPart, by: number): ChartPart {
  if (!isNumber(width)) return stepped(width, encoding, by);
  const wanted = Math.max(NARROWEST, Math.round(width + by));
  if (!isNumber(height) || width / height >= SQUARE.aspect) return { width: wanted };
  const scale = Math.min(SQUARE.growth, wanted / width);
  return { width: Math.round(width * scale), height: Math.round(height * scale) };
}

/** Columns of a plot that has one per setting, in the order its scale names them. */
function stepped(width: unknown, encoding: unknown, by: number): ChartPart {
  const { step } = (width ?? {}) as { readonly step?: unknown };
  const { x } = (encoding ?? {}) as { readonly x?: { readonly scale?: { readonly domain?: unknown } } };
  const columns = parts(x?.scale?.domain).length;
  if (!isNumber(step) || columns === 0) return {};
  return {
    width: {
      step: Math.max(STEP.narrowest, Math.min(STEP.growth * step, Math.round(step + by / columns))),
    },
  };
}

/** Title and subtitle in lines that a drawing has room for, px. */
export function wrapped<T extends ChartPart>(spec: T, room: number): T {
  const title = spec.title as { readonly text: string; readonly subtitle?: readonly string[] };
  const { fontSize, fontWeight, subtitleFontSize } = chartConfig.title;
  return {
    ...spec,
    title: {
      ...title,
      text: wrapLines(title.text, room, { fontSize, fontWeight }),
      ...(title.subtitle === undefined
        ? {}
        : {
            subtitle: title.subtitle.flatMap((line) => wrapLines(line, room, { fontSize: subtitleFontSize })),
          }),
    },
  };
}
