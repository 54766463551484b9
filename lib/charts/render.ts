import type { LoggerInterface, View } from "vega";
import type { TopLevelSpec } from "vega-lite";
import { BeadbenchError, requireNumber } from "../errors/index.js";
import { titlesInLines } from "./axis-titles.js";
import { arranged, widened, wrapped } from "./fit-width.js";
import { escapeMarkup } from "./markup.js";
import { overflow, type SceneItem } from "./overflow.js";
import type { ChartPart, ChartSpec } from "./spec.js";
import { textWidth, wrapLines } from "./text-width.js";
import { chartConfig, darkColours, darkRules, OWN_GROUND } from "./theme.js";

/** Anything that can show an SVG drawing in a notebook cell, such as the `display` of the notebook kernel. */
export interface SvgDisplay {
  svg(text: string): void;
}

/** How a chart is drawn. */
export interface RenderOptions {
  /** Put before every id in the drawing; needed when several drawings share one HTML page. Default "". */
  readonly idPrefix?: string;
  /**
   * px the drawing is to be wide, at least 240: plots are stretched or narrowed to it, text keeps its size. A chart with
   * one column per setting keeps its own width, one about as wide as high its shape. Default: as each chart is made.
   */
  readonly width?: number;
  /**
   * Colours: for a light page, for a dark one, or for both, in which case the drawing follows the page or program that
   * shows it (a notebook's theme, else what the reader prefers) and brings its own ground. Default "light".
   */
  readonly scheme?: "light" | "dark" | "both";
}

/** Narrowest drawing that can be asked for, px. */
const NARROWEST = 240;
/** Names down the side of a plot: in lines as wide as this, px, or this share of the drawing, never cut. */
const NAME_ROOM = { most: 230, share: 0.34 } as const;
const namesIn = (width = Infinity): ChartPart => ({
  labelExpr: `inLines(datum.label, ${Math.round(Math.min(NAME_ROOM.most, NAME_ROOM.share * width))})`,
  labelLimit: 0,
});
/** Room for a title in a drawing however narrow, px. */
const TITLE_ROOM = 200;
/** Times the plots are brought to a width: labels change as they do. */
const ROUNDS = 3;

/**
 * Draws a chart as SVG text. The same chart gives the same text on every machine: text is measured by
 * a fixed estimate instead of installed fonts, coordinates are rounded to 0.01 px. Titles are broken into lines, and the
 * drawing is made as large as its labels need.
 *
 * The drawing libraries are loaded on the first call, not when the library is imported.
 *
 * @throws {BeadbenchError} `bad-argument` when the chart is not a valid Vega-Lite specification, or for a width below 240
 */
export async function renderSvg(spec: ChartSpec, options: RenderOptions = {}): Promise<string> {
  const { idPrefix = "", width, scheme = "light" } = options;
  if (width !== undefined) requireNumber("renderSvg: width", width, { min: NARROWEST, unit: "px" });
  const draw = await drawer();
  const { title: _, ...rest } = spec;
  const untitled = { ...rest, config: { ...(spec.config as object), axisYDiscrete: namesIn(width) } };
  const laid: ChartPart = width === undefined ? untitled : arranged(untitled, width);
  let plain = laid;
  let { size } = await draw(plain);
  let by = 0;
  for (let round = 0; width !== undefined && round < ROUNDS && Math.abs(size.width - width) > 0.5; round++) {
    by += width - size.width;
    plain = widened(laid, by);
    ({ size } = await draw(plain));
  }
  const room = Math.max(TITLE_ROOM, size.width - 2 * chartConfig.padding);
  const { svg } = await draw(wrapped({ ...plain, title: spec.title }, room), true);
  const drawing = renumberIds(roundCoordinates(withoutRoles(svg)), idPrefix).replace(
    "<svg ",
    () => `<svg role="img" aria-label="${escapeMarkup(String(drawable(spec.description)))}" `,
  );
  if (scheme === "dark") return inDark(drawing);
  return scheme === "both" ? followingTheme(drawing) : drawing;
}

/**
 * Draws a chart into a notebook cell, in colours that follow the notebook's theme: `await showChart(display, spec)`.
 *
 * @param display - what shows it; in a notebook the `display` imported from the kernel's own module
 */
export async function showChart(
  display: SvgDisplay,
  spec: ChartSpec,
  options: Pick<RenderOptions, "width"> = {},
): Promise<void> {
  display.svg(await renderSvg(spec, { scheme: "both", ...options }));
}

/** A drawing: how wide it is, where its plots begin, and its text when that was asked for. */
interface Drawn {
  readonly size: { readonly width: number; readonly left: number };
  readonly svg: string;
}

interface TextMetrics {
  width(item: { readonly fontSize?: number; readonly fontWeight?: string | number }, text: unknown): number;
}

/** Loads the drawing libraries and hands back what draws with them. */
async function drawer(): Promise<(spec: ChartPart, write?: boolean) => Promise<Drawn>> {
  const [vega, vegaLite] = await Promise.all([import("vega"), import("vega-lite")]);
  // Left out of the published types. Set for good: switching back could catch another drawing half-way.
  (vega as unknown as { textMetrics: TextMetrics }).textMetrics.width = (item, text) =>
    textWidth(String(text ?? ""), item);
  vega.expressionFunction("inLines", (label: unknown, room: number) => wrapLines(String(label), room));
  return async (spec, write = false) => {
    const complaints: string[] = [];
    const logger = collector(complaints);
    let drawn: Drawn;
    try {
      const { spec: compiled } = vegaLite.compile(drawable(spec) as unknown as TopLevelSpec, {
        logger,
      });
      const view = new vega.View(vega.parse(titlesInLines(compiled)), { renderer: "none", logger });
      await view.runAsync();
      drawn = { size: makeRoom(view), svg: write ? await view.toSVG() : "" };
      view.finalize();
    } catch (error) {
      throw new BeadbenchError(
        "bad-argument",
        `renderSvg: cannot draw the chart: ${(error as Error).message}`,
      );
    }
    if (complaints.length > 0) {
      throw new BeadbenchError("bad-argument", `renderSvg: cannot draw the chart: ${complaints.join("; ")}`);
    }
    return drawn;
  };
}

/**
 * A copy of a specification, since the runtime marks the data rows it is given, with a space in place of every character
 * that no drawing may hold (XML 1.0, 2.2) or that ends a line within the expressions the compiler makes of names.
 */
function drawable(value: unknown): unknown {
  if (typeof value === "string") return value.replace(/[\p{Cc}\u2028\u2029\ufffe\uffff]/gu, " ");
  if (Array.isArray(value)) return value.map(drawable);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, drawable(part)]));
}

/** Parts of a view that the published types leave out. */
interface LaidOut {
  readonly _viewWidth: number;
  readonly _viewHeight: number;
  readonly _origin: readonly [number, number];
  scenegraph(): { readonly root: SceneItem };
}

/** Widens the margins of a view so that no label reaches out of the drawing. */
function makeRoom(view: View): Drawn["size"] {
  const laid = view as unknown as LaidOut;
  const { _viewWidth, _viewHeight, _origin } = laid;
  const beyond = overflow(laid.scenegraph().root, {
    left: -_origin[0],
    top: -_origin[1],
    right: _viewWidth - _origin[0],
    bottom: _viewHeight - _origin[1],
  });
  const { padding } = chartConfig;
  const margins = {
    left: padding + beyond.left,
    top: padding + beyond.top,
    right: padding + beyond.right,
    bottom: padding + beyond.bottom,
  };
  view.padding(margins);
  return { width: _viewWidth + margins.left + margins.right, left: _origin[0] + margins.left };
}

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

/** The drawing as a whole has a role and a name; the runtime gives its parts roles too, which have none. */
const withoutRoles = (svg: string): string =>
  eachTag(svg, (tag) => tag.replace(/ (?:role|aria-roledescription)="[^"]*"/g, ""));

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

/** The drawing in the colours of a dark page, on a ground of its own. */
function inDark(svg: string): string {
  return eachTag(svg, (tag) =>
    tag.replace(/(?<=(?:fill|stroke)=")[^"]+/g, (colour) => darkColours.get(colour) ?? colour),
  );
}

/** The drawing with rules by which it follows the theme of what shows it. */
function followingTheme(svg: string): string {
  return svg
    .replace(/^<svg ([^>]*)class="/, (start) => `${start}${OWN_GROUND} `)
    .replace(/>/, () => `><style>${darkRules}</style>`);
}
