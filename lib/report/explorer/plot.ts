import { escapeMarkup, wrapLines } from "../../charts/index.js";
import { rounds } from "../../numeric/index.js";

/** A side of a plot: the values at its ends, and what it is of. */
export interface PlotSide {
  readonly low: number;
  readonly high: number;
  /** Where labels stand, with their texts. */
  readonly ticks: readonly { readonly at: number; readonly text: string }[];
  readonly title: string;
}

/** What {@link plotSvg} draws. */
export interface PlotParts {
  readonly id: string;
  /** Pixels, those of the page: nothing is scaled afterwards. */
  readonly width: number;
  readonly height: number;
  readonly x: PlotSide;
  readonly y: PlotSide;
  /** What the picture shows, for those who cannot see it. */
  readonly description: string;
  /** Marks between the grid and the frame, placed by the scales. */
  readonly marks: (place: Place) => string;
}

/** Pixels of values along both sides. */
export interface Place {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
}

const MARGIN = { left: 60, right: 12, top: 8, bottom: 42 } as const;
/** Size of a title and height of a line of it, px. */
const TITLE = { fontSize: 12, line: 14 } as const;
/** Room that the text of a tick takes, px. */
const TICK_ROOM = 46;

/** Round values between two others, at most so many: whole, double or five times a power of ten apart. */
export function roundTicks(low: number, high: number, most: number): readonly number[] {
  const span = high - low;
  const power = 10 ** Math.floor(Math.log10(span / most));
  const step = [1, 2, 5, 10].map((m) => m * power).find((one) => span / one <= most)!;
  const first = Math.ceil(low / step - 1e-9);
  const count = Math.floor(high / step + 1e-9) - first + 1;
  return Array.from({ length: count }, (_, i) => rounds((first + i) * step));
}

/** The side of a plot for numbers, with as many labels as so many pixels hold. */
export function numberSide(title: string, [low, high]: readonly [number, number], pixels: number): PlotSide {
  const most = Math.max(2, Math.floor((pixels - MARGIN.left - MARGIN.right) / TICK_ROOM));
  return { low, high, title, ticks: roundTicks(low, high, most).map((at) => ({ at, text: String(at) })) };
}

/** A coordinate as it is written: to a hundredth of a pixel. */
export const px = (value: number): string => String(rounds(value, 6));

/** A plot as SVG text, drawn to its size; colours come from the page's style. */
export function plotSvg({ id, width, height, x, y, description, marks }: PlotParts): string {
  // A title longer than its side stands in lines, for which the plot makes room.
  const titleBelow = wrapLines(x.title, width - MARGIN.left, TITLE);
  const titleBeside = wrapLines(y.title, height - MARGIN.bottom, TITLE);
  const [left, right] = [MARGIN.left + TITLE.line * (titleBeside.length - 1), width - MARGIN.right];
  const [top, bottom] = [MARGIN.top, height - MARGIN.bottom - TITLE.line * (titleBelow.length - 1)];
  const place: Place = {
    x: (value) => left + ((value - x.low) / (x.high - x.low)) * (right - left),
    y: (value) => bottom - ((value - y.low) / (y.high - y.low)) * (bottom - top),
  };
  const text = (attributes: string, [atX, atY]: readonly [number, number], words: string): string =>
    `<text ${attributes} x="${px(atX)}" y="${px(atY)}">${escapeMarkup(words)}</text>`;
  const [acrossX, acrossY] = [(left + right) / 2, (top + bottom) / 2];
  return [
    `<svg class="plot" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeMarkup(description)}">`,
    `<clipPath id="${id}-clip"><rect x="${left}" y="${top}" width="${px(right - left)}" height="${px(bottom - top)}"/></clipPath>`,
    ...y.ticks.map(
      ({ at }) =>
        `<line class="grid" x1="${left}" x2="${right}" y1="${px(place.y(at))}" y2="${px(place.y(at))}"/>`,
    ),
    `<g clip-path="url(#${id}-clip)">${marks(place)}</g>`,
    `<rect class="frame" x="${left}" y="${top}" width="${px(right - left)}" height="${px(bottom - top)}"/>`,
    ...x.ticks.map(({ at, text: words }) =>
      text('class="tick" text-anchor="middle"', [place.x(at), bottom + 16], words),
    ),
    ...y.ticks.map(({ at, text: words }) =>
      text('class="tick" text-anchor="end"', [left - 6, place.y(at) + 4], words),
    ),
    ...titleBelow.map((line, i) =>
      text(
        'class="title" text-anchor="middle"',
        [acrossX, height - 6 - TITLE.line * (titleBelow.length - 1 - i)],
        line,
      ),
    ),
    ...titleBeside.map((line, i) => {
      const at = 12 + TITLE.line * i;
      return text(
        `class="title" text-anchor="middle" transform="rotate(-90 ${at} ${px(acrossY)})"`,
        [at, acrossY],
        line,
      );
    }),
    "</svg>",
  ].join("");
}
