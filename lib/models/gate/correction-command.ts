/**
 * The command that mends values of a coupon; the command line puts the study's name in its place.
 *
 * @param values - columns, each with a value and its unit, or a mark for one
 */
export function correctionCommand(
  coupon: string,
  ...values: readonly (readonly [column: string, value: string])[]
): string {
  const said = values.map(([column, value]) => `${column}="${value}"`).join(" ");
  return `beadbench log <study> ${coupon} --correct ${said} --why "mistyped"`;
}
