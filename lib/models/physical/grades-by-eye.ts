/** Steps of a scale of grades. Common practice, no source: schools and standards have 3 to 10. */
const MOST_GRADES = 10;

/**
 * Whether plain numbers are rather grades by eye: whole, few, and close together. The ends of such a scale are no slips,
 * and its steps no scatter.
 */
export function areGrades(unit: string, values: readonly number[]): boolean {
  return (
    unit === "1" &&
    values.every(Number.isInteger) &&
    Math.max(...values) <= MOST_GRADES &&
    new Set(values).size < values.length
  );
}
