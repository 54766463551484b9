/**
 * The command that mends a value, ready to paste.
 *
 * @param value - with its unit, or a mark for one
 * @param study - the study's folder, as it was typed
 */
export function correctionCommand(coupon: string, column: string, value: string, study = "<study>"): string {
  return `beadbench log ${study} ${coupon} --correct ${column}="${value}" --why "mistyped"`;
}
