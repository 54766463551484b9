/** A number with this many significant digits, without exponent where a shop would write none. */
export function significant(value: number, digits = 3): string {
  if (!Number.isFinite(value)) return Number.isNaN(value) ? "-" : value > 0 ? "inf" : "-inf";
  if (value === 0) return "0";
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-4) return value.toExponential(digits - 1);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(decimals, 10));
}

/** A share as per cent: 0.125 is "13 %". */
export function percent(share: number, decimals = 0): string {
  return `${(100 * share).toFixed(decimals)} %`;
}
