import type { ArcProcess } from "../handbook/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** Shade of the filter in front of eyes that see an arc. */
export interface EyeShade {
  readonly least: SourcedValue;
  /** Shade to begin with; lighter only as far as `least`. Null where none is at hand. */
  readonly suggested: SourcedValue | null;
}

/** Currents below a bound, the least shade and the one to begin with. */
type Row = readonly [below: number, least: number, suggested: number | null];

const wire: readonly Row[] = [
  [60, 7, null],
  [160, 10, 11],
  [250, 10, 12],
  [500, 10, 14],
];

const rows: Readonly<Record<Exclude<ArcProcess, "submerged-arc">, readonly Row[]>> = {
  tig: [
    [50, 8, 10],
    [150, 8, 12],
    [500, 10, 14],
  ],
  plasma: [
    [20, 6, 8],
    [100, 8, 10],
    [400, 10, 12],
    [800, 11, 14],
  ],
  "mig-mag": wire,
  "flux-cored": wire,
  "manual-metal-arc": [
    [60, 7, null],
    [160, 8, 10],
    [250, 10, 12],
    [550, 11, 14],
  ],
};

/**
 * Shade numbers for watching an arc. The rules of the place of work come first: others use finer tables (EN 169,
 * ISO 4850 and what replaced them) and darker shades for bright surroundings, helium or reflecting walls.
 *
 * A shade is no cover for skin, bystanders or windows: ultraviolet and infrared burn by reflection too. A camera needs
 * a filter of its own.
 *
 * @param current - A; at a bound of the table the darker shade is given
 * @returns null where the table ends, and for an arc hidden under flux
 * @source least: 29 CFR 1910.133(a)(5), filter lenses; suggested: ANSI Z49.1, from memory
 * @example eyeShade("tig", 120)?.least.value // => 8
 */
export function eyeShade(process: ArcProcess, current: number): EyeShade | null {
  requireSetting("current", current);
  if (process === "submerged-arc") return null;
  const table = rows[process];
  const last = table[table.length - 1]!;
  const row = table.find(([below]) => current < below) ?? (current === last[0] ? last : undefined);
  if (row === undefined) return null;
  const [, least, suggested] = row;
  return {
    least: sourced(least, "shade", "verified", "29 CFR 1910.133(a)(5)"),
    suggested: suggested === null ? null : sourced(suggested, "shade", "from memory", "ANSI Z49.1"),
  };
}
