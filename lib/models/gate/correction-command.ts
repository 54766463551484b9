/**
 * The command that mends a value; the command line puts the study's name in its place.
 *
 * @param value - with its unit, or a mark for one
 */
export function correctionCommand({
  coupon,
  column,
  value,
}: {
  readonly coupon: string;
  readonly column: string;
  readonly value: string;
}): string {
  return `beadbench log <study> ${coupon} --correct ${column}="${value}" --why "mistyped"`;
}
