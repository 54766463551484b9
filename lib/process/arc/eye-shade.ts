import { arcOf, type ProcessFamily, requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** Shade of the filter in front of eyes that see an arc. */
export interface EyeShade {
  readonly least: SourcedValue;
  /** Shade to begin with; lighter only as far as `least`. Null where none is at hand. */
  readonly suggested: SourcedValue | null;
}

/**
 * Shade numbers for watching an arc. The rules of the place of work come first: others use finer tables (EN 169,
 * ISO 4850 and what replaced them) and darker shades for bright surroundings, helium or reflecting walls.
 *
 * A shade is no cover for skin, bystanders or windows: ultraviolet and infrared burn by reflection too. A camera needs
 * a filter of its own.
 *
 * @param current - A; at a bound of the table the darker shade is given
 * @returns null where the table ends, for an arc hidden under flux, and for a beam: a shade is no laser eyewear
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source least: 29 CFR 1910.133(a)(5), filter lenses; suggested: ANSI Z49.1, from memory
 * @example eyeShade("tig", 120)?.least.value // => 8
 */
export function eyeShade(process: ProcessFamily, current: number): EyeShade | null {
  requireSetting("current", current);
  const table = arcOf(process)?.shades;
  if (table === undefined) return null;
  const last = table[table.length - 1]!;
  const row = table.find(([below]) => current < below) ?? (current === last[0] ? last : undefined);
  if (row === undefined) return null;
  const [, least, suggested] = row;
  return {
    least: sourced(least, "shade", "verified", "29 CFR 1910.133(a)(5)"),
    suggested: suggested === null ? null : sourced(suggested, "shade", "from memory", "ANSI Z49.1"),
  };
}
