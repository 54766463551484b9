import type { Response } from "../../study/index.js";
import { sameDimension } from "../../units/index.js";
import { isDimension } from "./response-role.js";

/** What a measured size is, whatever a study calls it. */
export type SizeRole = "width" | "height" | "area" | "clean-width" | "penetration" | "toe-angle" | "fullness";

/** A size that rigs are judged by, under one of the names the trade uses. */
export interface MeasuredSize {
  readonly name: string;
  readonly role: SizeRole;
  /** Its dimension; a response in a unit of another dimension is not this size. */
  readonly unit: "mm" | "mm2" | "deg" | "1";
  /** A value of 0 or below is a slip of the pen, not a measurement. */
  readonly positive: boolean;
  /** What it is a size of; absent for a word that is said of both. */
  readonly of?: "bead" | "wall";
}

const length = { unit: "mm", positive: true } as const;

/** Every measured name with a meaning in physics; where a study measures two of one role, the first comes first. */
const sizes: readonly MeasuredSize[] = [
  { name: "bead_width", role: "width", ...length, of: "bead" },
  { name: "total_wall_width", role: "width", ...length, of: "wall" },
  { name: "wall_width", role: "width", ...length, of: "wall" },
  { name: "width", role: "width", ...length },
  { name: "bead_height", role: "height", ...length, of: "bead" },
  { name: "reinforcement", role: "height", ...length, of: "bead" },
  { name: "layer_height", role: "height", ...length, of: "wall" },
  { name: "height", role: "height", ...length },
  { name: "bead_area", role: "area", unit: "mm2", positive: true, of: "bead" },
  { name: "section_area", role: "area", unit: "mm2", positive: true },
  { name: "area", role: "area", unit: "mm2", positive: true },
  { name: "effective_wall_width", role: "clean-width", ...length, of: "wall" },
  // A bead that only lies on the base has a penetration of 0.
  { name: "penetration", role: "penetration", unit: "mm", positive: false, of: "bead" },
  { name: "toe_angle", role: "toe-angle", unit: "deg", positive: true },
  { name: "fullness", role: "fullness", unit: "1", positive: true },
];

const byName = new Map(sizes.map((size) => [size.name, size]));
const toe = byName.get("toe_angle")!;

/** The size a response is by its name and dimension; toe angles may carry a side (`left_toe_angle`). */
export function measuredSize({ name, unit }: Pick<Response, "name" | "unit">): MeasuredSize | undefined {
  const size = byName.get(name) ?? (/(^|_)toe_angle(_|$)/.test(name) ? toe : undefined);
  return size !== undefined && sameDimension(unit, size.unit) ? size : undefined;
}

/** The names of one role, those of beads first. */
export function sizeNames(role: SizeRole): readonly MeasuredSize[] {
  return sizes.filter((size) => size.role === role);
}

/** The responses of a role that a study measures, in the order of the table. */
export function responsesOf(responses: readonly Response[], role: SizeRole): readonly Response[] {
  return sizeNames(role).flatMap(({ name }) =>
    responses.filter((r) => r.name === name && isDimension(r) && measuredSize(r) !== undefined),
  );
}
