import { BeadbenchError, ownValue, requireNumber, requireThat } from "../errors/index.js";
import { inWords, levelPercent, sentence } from "../numeric/index.js";
import { shownUnit } from "../units/index.js";
import { wrapLines } from "./text-width.js";
import { chartConfig } from "./theme.js";

/** A piece of a chart specification: plain JSON. */
export interface ChartPart {
  readonly [key: string]: unknown;
}

/**
 * A chart: a complete Vega-Lite 6 specification as plain JSON, theme included. Draw it with
 * {@link renderSvg}, show it in a notebook with {@link showChart}, or hand it to any Vega-Lite tool.
 */
export interface ChartSpec extends ChartPart {
  readonly $schema: string;
  /** What the picture shows, in words, for those who cannot see it. */
  readonly description: string;
}

/** A quantity on an axis: its name as in the study (`travel_speed`) and the unit its numbers are in. */
export interface ChartQuantity {
  readonly name: string;
  readonly unit: string;
}

/** Unit symbols that are written differently in print. */
const printed: Readonly<Record<string, string>> = {
  degC: "°C",
  degF: "°F",
  deg: "°",
  um: "µm",
  mm2: "mm²",
  in2: "in²",
  mm3: "mm³",
  m3: "m³",
  ft3: "ft³",
  "m3/h": "m³/h",
  "ft3/h": "ft³/h",
  "g/cm3": "g/cm³",
  "kg/m3": "kg/m³",
};

/** A unit symbol as it is printed: `degC` becomes `°C`; a bare ratio (`1`) prints nothing. */
export function printedUnit(unit: string): string {
  return ownValue(printed, unit) ?? shownUnit(unit);
}

/** Axis title with unit: `Travel speed (mm/s)`. */
export function axisTitle(quantity: ChartQuantity): string {
  const unit = printedUnit(quantity.unit);
  return sentence(inWords(quantity.name)) + (unit === "" ? "" : ` (${unit})`);
}

/**
 * A level as a percentage: 0.95 becomes `95 %`.
 *
 * @throws {BeadbenchError} `bad-argument` unless it is between 0 and 1
 */
export function levelText(level: number): string {
  return levelPercent(requireNumber("level", level, { above: 0, below: 1 }));
}

/**
 * The rows as inline data, copied, after a check that there are some and that every number is finite.
 *
 * @throws {BeadbenchError} `bad-argument` naming the chart, the row and the field
 */
export function inline(chart: string, what: string, rows: readonly object[]): { values: object[] } {
  requireRows(chart, what, rows);
  return { values: rows.map((row) => ({ ...row })) };
}

/** The same check alone, for a chart that does not draw every row. */
export function requireRows(chart: string, what: string, rows: readonly object[]): void {
  requireThat(rows.length > 0, `${chart}: needs at least one of ${what}, got none`);
  rows.forEach((row, i) => {
    requireFinite(chart, `${what}[${i}]`, row);
  });
}

function requireFinite(chart: string, where: string, row: object): void {
  for (const [field, value] of Object.entries(row)) {
    if (typeof value === "number" && !Number.isFinite(value)) {
      throw new BeadbenchError(
        "bad-argument",
        `${chart}: ${where}.${field} must be a finite number, got ${value}`,
      );
    }
  }
}

/** Quantitative channel; the axis need not start at zero. */
export function measure(field: string, title: string | null, more: ChartPart = {}): ChartPart {
  return { field, type: "quantitative", title, scale: { zero: false }, ...more };
}

/** Room of a name beside a plot, px: that of a phone. */
const NAME_ROOM = 110;
const nameLines = (name: string): string[] => wrapLines(name, NAME_ROOM);

/** Height of rows that names of so many lines stand beside, px, at least one given. */
export const rowOf = (names: readonly string[], least: number): number =>
  Math.max(least, 8 + 13 * Math.max(...names.map((name) => nameLines(name).length)));

/** Axis properties that write names, long ones in lines, at whole numbers in place of these, from `first` on. */
export function labelsAt(names: readonly string[], first: number): ChartPart {
  const lines = names.map((name) => `[${nameLines(name).map(literal).join(",")}]`);
  return {
    values: names.map((_, i) => first + i),
    labelExpr: `[${lines.join(",")}][datum.value - ${first}]`,
  };
}

/**
 * A text in a Vega expression. Words that every object answers to ("constructor") are no literals there, even in quotes, so
 * they are put together from two.
 */
function literal(text: string): string {
  if (!(text in Object.prototype) && text !== "then") return JSON.stringify(text);
  return `${JSON.stringify(text.slice(0, 1))} + ${JSON.stringify(text.slice(1))}`;
}

/** Completes a chart: schema, description, title and theme around its body. */
export function chart({
  description,
  title,
  subtitle,
  body,
}: {
  readonly description: string;
  readonly title: string;
  readonly subtitle: readonly string[];
  readonly body: ChartPart;
}): ChartSpec {
  return {
    $schema: "https://vega.github.io/schema/vega-lite/v6.json",
    description,
    title: subtitle.length === 0 ? { text: title } : { text: title, subtitle: [...subtitle] },
    ...body,
    config: chartConfig,
  };
}
