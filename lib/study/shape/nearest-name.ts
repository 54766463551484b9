/** Edits (insert, delete, replace, swap neighbours) that turn one word into the other. */
function editDistance(a: string, b: string): number {
  const rows: number[][] = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = rows[i - 1]![j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      let best = Math.min(replaced, rows[i - 1]![j]! + 1, row[j - 1]! + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        best = Math.min(best, rows[i - 2]![j - 2]! + 1);
      }
      row.push(best);
    }
    rows.push(row);
  }
  return rows[a.length]![b.length]!;
}

/**
 * The known name that a misspelt one most likely means: at most a third of its letters differ.
 *
 * @param most - most edits allowed, fewer than that third where a wrong guess would do harm
 */
export function nearestName(
  name: string,
  known: readonly string[],
  most = Number.POSITIVE_INFINITY,
): string | undefined {
  const plain = (text: string): string => text.toLowerCase().replace(/[\s_-]/g, "");
  const scored = known
    .map((candidate) => ({ candidate, distance: editDistance(plain(name), plain(candidate)) }))
    .sort((a, b) => a.distance - b.distance);
  const best = scored[0];
  return best !== undefined &&
    best.distance <= Math.min(most, Math.max(1, Math.floor(plain(name).length / 3)))
    ? best.candidate
    : undefined;
}

/** `; did you mean "x"?`, or nothing. */
export function suggestion(name: string, known: readonly string[]): string {
  const nearest = nearestName(name, known);
  return nearest === undefined ? "" : `; did you mean "${nearest}"?`;
}
