import { escapeMarkup } from "../../charts/index.js";
import { brief } from "../../numeric/index.js";
import { plainText } from "../machine/index.js";
import type { CouponProgram, ProgramCoupon } from "./coupon-program.js";
import type { PlacedBox } from "./plate-layout.js";
import type { Bead } from "./shapes.js";

/** Pixels of the plate's longer side, and of the edge round it. */
const LONGER = 760;
const EDGE = 46;
/** Lines under the plate. */
const LEGEND = 66;
/** Width of a letter in heights of the type, at most. */
const LETTER = 0.62;

/**
 * A program of coupons as a picture, seen from above: the plate with its margin, every coupon's box with its place in the order and
 * its label, arcs drawn full with their starts, moves without arc broken. SVG, dark on white.
 */
export function drawCouponProgram(program: CouponProgram): string {
  const { plate, coupons, shape, safeHeight, time } = program;
  const scale = LONGER / Math.max(plate.width, plate.depth);
  const [width, height] = [plate.width * scale, plate.depth * scale];
  const across = (x: number): string => brief(EDGE + x * scale, 6);
  const up = (y: number): string => brief(EDGE + height - y * scale, 6);
  const rect = (box: PlacedBox, style: string): string =>
    `<rect x="${across(box.x)}" y="${up(box.y + box.depth)}" width="${brief(box.width * scale, 6)}" height="${brief(box.depth * scale, 6)}" ${style}/>`;
  const text = (content: string, place: string): string => `<text ${place}>${escapeMarkup(content)}</text>`;
  const at = (x: number, y: number, size: number): string =>
    `x="${brief(x, 6)}" y="${brief(y, 6)}" font-size="${brief(size, 3)}"`;
  const total = { width: Math.max(width + 2 * EDGE, 560), height: height + 2 * EDGE + LEGEND };
  const foot = EDGE + height;
  const title = `Dry look at ${coupons.length} coupons (${shape}) on a plate of ${brief(plate.width, 5)} x ${brief(plate.depth, 5)} mm`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${brief(total.width, 6)} ${brief(total.height, 6)}" width="${brief(total.width, 6)}" height="${brief(total.height, 6)}" role="img" font-family="system-ui, 'DejaVu Sans', sans-serif" fill="#111">`,
    `<title>${escapeMarkup(title)}</title>`,
    `<rect width="100%" height="100%" fill="#fff"/>`,
    text(title, `${at(EDGE, 28, 15)} font-weight="700"`),
    rect(
      { x: 0, y: 0, width: plate.width, depth: plate.depth },
      'fill="#f3f4f5" stroke="#111" stroke-width="1.5"',
    ),
    rect(
      {
        x: plate.margin,
        y: plate.margin,
        width: plate.width - 2 * plate.margin,
        depth: plate.depth - 2 * plate.margin,
      },
      'fill="none" stroke="#888" stroke-dasharray="2 4"',
    ),
    ...coupons.map(({ box }) => rect(box, 'fill="#fff" stroke="#777" stroke-width="0.8"')),
    `<polyline points="${travelPoints(coupons, across, up)}" fill="none" stroke="#0072b2" stroke-dasharray="6 4"/>`,
    ...coupons.flatMap(({ id, box, beads }, i) => {
      // Labels stand in the gap behind their coupon, where there is one.
      const size = Math.min(13, Math.max(8, plate.spacing * scale - 5));
      const room = Math.max(2, Math.floor((box.width * scale) / (size * LETTER)) - String(i + 1).length - 2);
      const label = plainText(id);
      const shown = label.length > room ? `${label.slice(0, room - 1)}\u2026` : label;
      return [
        ...beads.map((bead, k) => beadPath(bead, { across, up, scale, last: k === beads.length - 1 })),
        ...beads.map(
          ({ from }, k) =>
            `<circle cx="${across(from.x)}" cy="${up(from.y)}" r="${k === 0 ? 4 : 2.5}" fill="#b84300"/>`,
        ),
        text(
          `${i + 1}. ${shown}`,
          `${at(EDGE + box.x * scale + 1, EDGE + height - (box.y + box.depth) * scale - 4, size)} stroke="#fff" stroke-width="3" paint-order="stroke"`,
        ),
      ];
    }),
    text(
      `X0 Y0 at the front left corner; Z0 the tip on the plate; moves between at Z ${brief(safeHeight, 4)} mm`,
      at(EDGE, foot + 20, 12),
    ),
    text(
      `Orange: arc, its starts dots. Blue, broken: moves without arc. Arc ${brief(time.arc / 60, 3)} min, in all ${brief(time.whole / 60, 3)} min and the stops.`,
      at(EDGE, foot + 40, 12),
    ),
    text(
      "Run it dry first: arc off, gas shut, wire back, a hand on the stop. Never unattended.",
      `${at(EDGE, foot + 60, 12)} font-weight="700"`,
    ),
    scaleBar(plate.width, { scale, foot, right: EDGE + width }),
    "</svg>\n",
  ].join("\n");
}

type Map = (value: number) => string;

function travelPoints(coupons: readonly ProgramCoupon[], across: Map, up: Map): string {
  return coupons
    .flatMap(({ beads }) =>
      beads.flatMap(({ from, moves }) => [from, moves.at(-1)!.to]).map(({ x, y }) => `${across(x)},${up(y)}`),
    )
    .join(" ");
}

function beadPath(
  { from, moves }: Bead,
  {
    across,
    up,
    scale,
    last,
  }: { readonly across: Map; readonly up: Map; readonly scale: number; readonly last: boolean },
): string {
  const style = `fill="none" stroke="#e07b1a" stroke-width="${last ? 3 : 2}" stroke-opacity="${last ? 1 : 0.5}"`;
  const [{ centre } = {}] = moves;
  if (centre !== undefined)
    return `<circle cx="${across(centre.x)}" cy="${up(centre.y)}" r="${brief(Math.hypot(from.x - centre.x, from.y - centre.y) * scale, 6)}" ${style}/>`;
  const end = moves.at(-1)!.to;
  return `<line x1="${across(from.x)}" y1="${up(from.y)}" x2="${across(end.x)}" y2="${up(end.y)}" ${style}/>`;
}

/** A bar of a round length near a fifth of the plate, under its right end. */
function scaleBar(
  width: number,
  { scale, foot, right }: { readonly scale: number; readonly foot: number; readonly right: number },
): string {
  const power = 10 ** Math.floor(Math.log10(width / 5));
  const length = ([5, 2].find((m) => m * power <= width / 5) ?? 1) * power;
  const [from, y] = [right - length * scale, foot + 14];
  return `<path d="M${brief(from, 6)} ${y - 4}v8M${brief(right, 6)} ${y - 4}v8M${brief(from, 6)} ${y}H${brief(right, 6)}" stroke="#111" fill="none"/><text x="${brief(right, 6)}" y="${y + 18}" font-size="11" text-anchor="end">${brief(length)} mm</text>`;
}
