import { BeadbenchError, requireNumber } from "../../errors/index.js";
import { brief } from "../../numeric/index.js";

/** The plate coupons are laid on, mm. */
export interface Plate {
  /** Along x and y. */
  readonly width: number;
  readonly depth: number;
  /** Kept free along its edges, and between the coupons. */
  readonly margin: number;
  readonly spacing: number;
}

/** What a coupon takes of the plate, mm, bead and all. */
export interface Footprint {
  readonly width: number;
  readonly depth: number;
}

/** Where it lies. */
export interface PlacedBox extends Footprint {
  readonly x: number;
  readonly y: number;
}

/**
 * Places for coupons in the order they are run: rows from the front to the back, each from left to right.
 *
 * @throws {BeadbenchError} `refused` when they do not all fit, saying how many do
 */
export function layOut(plate: Plate, prints: readonly Footprint[]): readonly PlacedBox[] {
  const { width, depth, margin, spacing } = plate;
  for (const [name, size] of [
    ["width of the plate", width],
    ["depth of the plate", depth],
  ] as const)
    requireNumber(name, size, { above: 0, max: 10_000, unit: "mm" });
  requireNumber("margin of the plate", margin, { min: 0, max: 1000, unit: "mm" });
  requireNumber("spacing of coupons", spacing, { min: 0, max: 1000, unit: "mm" });
  const right = width - margin;
  const back = depth - margin;
  const placed: PlacedBox[] = [];
  let [x, y, row] = [margin, margin, 0];
  for (const print of prints) {
    if (x > margin && x + print.width > right + SLACK) {
      x = margin;
      y += row + spacing;
      row = 0;
    }
    if (x + print.width > right + SLACK || y + print.depth > back + SLACK)
      throw new BeadbenchError(
        "refused",
        `coupon ${placed.length + 1} of ${prints.length} (${brief(print.width, 4)} x ${brief(print.depth, 4)} mm, bead and all) leaves the plate of ${brief(width, 5)} x ${brief(depth, 5)} mm with its margin of ${brief(margin)} mm: ${placed.length === 0 ? "a larger plate, or a smaller coupon" : `${placed.length} fit; a larger plate, shorter coupons, less spacing, or --coupons ${placed.length}`}`,
        { fit: placed.length },
      );
    placed.push({ x, y, ...print });
    x += print.width + spacing;
    row = Math.max(row, print.depth);
  }
  return placed;
}

/** mm that arithmetic may add. */
const SLACK = 1e-9;
