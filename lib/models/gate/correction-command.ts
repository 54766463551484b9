/**
 * The command that mends a value, ready to paste.
 *
 * @param value - with its unit, or a mark for one
 * @param study - the study's folder, as it was typed
 */
export function correctionCommand({
  coupon,
  column,
  value,
  study = "<study>",
}: {
  readonly coupon: string;
  readonly column: string;
  readonly value: string;
  readonly study?: string;
}): string {
  return `beadbench log ${study} ${coupon} --correct ${column}="${value}" --why "mistyped"`;
}
