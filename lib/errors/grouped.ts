/**
 * Rows gathered by a key, groups and rows in the order they come in; a row without a key is left out. For what a command
 * that must start quickly groups: it loads nothing.
 *
 * @example [...grouped([3, 4, 5], (n) => (n % 2 === 0 ? "even" : "odd"))] // => [["odd", [3, 5]], ["even", [4]]]
 */
export function grouped<T>(
  rows: Iterable<T>,
  keyOf: (row: T) => string | undefined,
): ReadonlyMap<string, readonly T[]> {
  const groups = new Map<string, T[]>();
  for (const row of rows) {
    const key = keyOf(row);
    if (key === undefined) continue;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [row]);
    else group.push(row);
  }
  return groups;
}
