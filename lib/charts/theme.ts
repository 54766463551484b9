/**
 * Colours of the charts. The hues are those of Okabe and Ito, "Color Universal Design" (2002, revised
 * 2008), a set made to be told apart with each of the common kinds of colour vision; marks differ in
 * shape as well. `dark` holds what a page with a dark background puts in place of each colour.
 */
export const colours = {
  /** Paper behind the drawing. */
  paper: { light: "#ffffff", dark: "none" },
  /** Text and titles. */
  ink: { light: "#1f2933", dark: "#e4e7eb" },
  /** Axis labels, secondary text, reference lines. */
  muted: { light: "#4a5562", dark: "#b0b8c1" },
  /** Grid lines and frames. */
  grid: { light: "#dde2e8", dark: "#3a424c" },
  /** What was measured. */
  measured: { light: "#22303d", dark: "#f0f2f5" },
  /** What the model says; passed. */
  model: { light: "#0072b2", dark: "#56b4e9" },
  /** What calls for attention; failed. */
  alarm: { light: "#d55e00", dark: "#e8741c" },
  /** What is recommended or allowed. */
  good: { light: "#009e73", dark: "#1fbf92" },
} as const;

/** Colours on top of coloured cells: the same on every page, because the cells are. */
export const onCells = { dark: "#111418", light: "#fdfdfd", mark: "#f0e442", forbidden: "#b4bac1" } as const;

/** Classes of chance: lower bound, label, colour from pale (never) to deep (surely). */
export const chanceClasses: readonly (readonly [number, string, string])[] = [
  [0, "below 10 %", "#f1f6fa"],
  [0.1, "10 to 25 %", "#d9e8f2"],
  [0.25, "25 to 50 %", "#b5d3e7"],
  [0.5, "50 to 75 %", "#86b7d7"],
  [0.75, "75 to 90 %", "#5296c2"],
  [0.9, "90 to 95 %", "#2775a8"],
  [0.95, "95 to 99 %", "#125788"],
  [0.99, "99 % and more", "#083a61"],
];
const family = "DejaVu Sans, sans-serif";

/** Vega-Lite configuration shared by all charts. */
export const chartConfig = {
  background: colours.paper.light,
  padding: 8,
  font: family,
  // One description on the drawing as a whole, instead of a label on each mark.
  aria: false,
  title: {
    anchor: "start",
    frame: "bounds",
    color: colours.ink.light,
    fontSize: 14,
    fontWeight: "bold",
    subtitleColor: colours.muted.light,
    subtitleFontSize: 11,
    subtitleLineHeight: 15,
    subtitlePadding: 5,
    offset: 12,
  },
  view: { stroke: colours.grid.light },
  concat: { spacing: 28 },
  axis: {
    labelColor: colours.muted.light,
    titleColor: colours.ink.light,
    gridColor: colours.grid.light,
    domainColor: colours.muted.light,
    tickColor: colours.muted.light,
    labelFontSize: 11,
    titleFontSize: 12,
    titleFontWeight: "normal",
    titlePadding: 8,
    labelPadding: 4,
    labelFlush: false,
    tickSize: 4,
  },
  legend: {
    labelColor: colours.muted.light,
    titleColor: colours.ink.light,
    labelFontSize: 11,
    titleFontSize: 11,
    titleFontWeight: "normal",
    labelLimit: 240,
    titleLimit: 240,
    symbolSize: 70,
  },
  header: {
    labelColor: colours.ink.light,
    titleColor: colours.ink.light,
    labelFontSize: 12,
  },
  text: { color: colours.ink.light, fontSize: 11, font: family },
  point: { size: 55, filled: true, opacity: 1 },
  line: { strokeWidth: 2 },
  rule: { color: colours.muted.light },
} as const;

/** Ground of a drawing that brings its own, on a dark page. */
const DARK_GROUND = "#14181d";

/** Each colour of {@link colours} and what stands in its place in a drawing for a dark page, ground and all. */
export const darkColours: ReadonlyMap<string, string> = new Map(
  Object.values(colours).map(({ light, dark }) => [light, dark === "none" ? DARK_GROUND : dark]),
);

/** Class of a drawing with {@link darkRules} in it. */
export const OWN_GROUND = "follows-theme";

/**
 * Style rules inside a drawing by which it follows what shows it: the theme of a notebook it was put into, or, where it
 * stands alone or as a picture, what the reader prefers.
 */
export const darkRules: string = (() => {
  const rules = (scope: string): string =>
    [...darkColours]
      .flatMap(([light, dark]) => [
        `${scope} [fill="${light}"]{fill:${dark}}`,
        `${scope} [stroke="${light}"]{stroke:${dark}}`,
      ])
      .join("");
  const own = `svg.${OWN_GROUND}`;
  const themes = [`[data-jp-theme-light="false"] ${own}`, `.vscode-dark ${own}`];
  return `@media (prefers-color-scheme:dark){${rules("svg:root")}}${themes.map(rules).join("")}`;
})();

/**
 * Style rules that recolour every chart inside `scope` for a page with a dark background; they win over
 * the colours written in the drawing.
 *
 * @param scope - CSS selector of the element that holds the drawing, for example `.chart`
 */
export function darkChartCss(scope: string): string {
  const entries: readonly { light: string; dark: string }[] = Object.values(colours);
  return entries
    .flatMap(({ light, dark }) => [
      `${scope} [fill="${light}"]{fill:${dark}}`,
      `${scope} [stroke="${light}"]{stroke:${dark}}`,
    ])
    .join("\n");
}
