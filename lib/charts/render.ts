import type { LoggerInterface } from "vega";
import type { TopLevelSpec } from "vega-lite";
import { BeadbenchError } from "../errors/index.js";
import { escapeMarkup } from "./markup.js";
import type { ChartSpec } from "./spec.js";

/** Anything that can show an SVG drawing in a notebook cell, such as the `display` of the notebook kernel. */
export interface SvgDisplay {
  svg(text: string): void;
}

/**
 * Draws a chart as SVG text. The same chart gives the same text on every machine: text is measured by
 * a fixed estimate instead of installed fonts, coordinates are rounded to 0.01 px.
 *
 * The drawing libraries are loaded on the first call, not when the library is imported.
 *
 * @param options.idPrefix - put before every id in the drawing; needed when several drawings share one
 *   HTML page. Default ""
 * @throws {BeadbenchError} `bad-argument` when the chart is not a valid Vega-Lite specification
 */
export async function renderSvg(
  spec: ChartSpec,
  options: { readonly idPrefix?: string } = {},
): Promise<string> {
  const [vega, vegaLite] = await Promise.all([import("vega"), import("vega-lite")]);
  const complaints: string[] = [];
  const logger = collector(complaints);
  let svg: string;
  try {
    // The spec is cloned because the runtime marks the data rows it is given.
    const { spec: compiled } = vegaLite.compile(structuredClone(spec) as unknown as TopLevelSpec, { logger });
    // Left out of the published types. Set for good: switching back could catch another drawing half-way.
    (vega as unknown as { textMetrics: TextMetrics }).textMetrics.width = estimatedWidth;
    const view = new vega.View(vega.parse(compiled), { renderer: "none", logger });
    svg = await view.toSVG();
    view.finalize();
  } catch (error) {
    throw new BeadbenchError("bad-argument", `renderSvg: cannot draw the chart: ${(error as Error).message}`);
  }
  if (complaints.length > 0) {
    throw new BeadbenchError("bad-argument", `renderSvg: cannot draw the chart: ${complaints.join("; ")}`);
  }
  const drawing = renumberIds(roundCoordinates(svg), options.idPrefix ?? "");
  return drawing.replace("<svg ", () => `<svg role="img" aria-label="${escapeMarkup(spec.description)}" `);
}

/**
 * Draws a chart into a notebook cell: `await showChart(display, spec)`.
 *
 * @param display - what shows it; in a notebook the `display` imported from the kernel's own module
 */
export async function showChart(display: SvgDisplay, spec: ChartSpec): Promise<void> {
  display.svg(await renderSvg(spec));
}

interface TextMetrics {
  width(item: { readonly fontSize?: number; readonly fontWeight?: string | number }, text: unknown): number;
}

/**
 * Width of a text in px, from rounded advance widths of DejaVu Sans (em): narrow, wide, capital and
 * other characters. Estimated, so that the layout does not depend on the fonts of the machine.
 */
const estimatedWidth: TextMetrics["width"] = (item, text) => {
  let em = 0;
  for (const char of String(text ?? "")) {
    if (/[ijl.,:;'|!()[\] ftIr]/.test(char)) em += 0.35;
    else if (/[mwMW%]/.test(char)) em += 0.95;
    else em += /[A-Z]/.test(char) ? 0.7 : 0.62;
  }
  return em * (item.fontSize ?? 11) * (item.fontWeight === "bold" ? 1.12 : 1);
};

/** A logger that keeps warnings and errors instead of printing them. */
function collector(complaints: string[]): LoggerInterface {
  const keep = (...args: readonly unknown[]): LoggerInterface => {
    complaints.push(args.map(String).join(" "));
    return logger;
  };
  function level(): number;
  function level(_: number): LoggerInterface;
  function level(_?: number): number | LoggerInterface {
    return _ === undefined ? 2 : logger;
  }
  const logger: LoggerInterface = { level, warn: keep, error: keep, info: () => logger, debug: () => logger };
  return logger;
}

const eachTag = (svg: string, change: (tag: string) => string): string => svg.replace(/<[^>]*>/g, change);

function roundCoordinates(svg: string): string {
  return eachTag(svg, (tag) =>
    tag.replace(/-?\d+\.\d{3,}(?:e[-+]?\d+)?/g, (number) =>
      String(Math.round(Number(number) * 100) / 100 + 0),
    ),
  );
}

/** Ids numbered anew in order of appearance: the runtime counts them across all drawings of the process. */
function renumberIds(svg: string, prefix: string): string {
  const names = new Map(
    [...svg.matchAll(/ id="([^"]+)"/g)].map((match, i) => [match[1]!, `${prefix}d${i + 1}`]),
  );
  return eachTag(svg, (tag) =>
    tag
      .replace(/ id="([^"]+)"/g, (_, id: string) => ` id="${names.get(id)}"`)
      .replace(/url\(#([^)]+)\)/g, (_, id: string) => `url(#${names.get(id)})`),
  );
}
