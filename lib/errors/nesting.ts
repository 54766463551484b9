/** Most brackets inside brackets that are read: no file of ours needs ten, and what walks a value calls itself at each. */
export const MOST_NESTED = 500;

/** Whether a JSON text nests its lists and objects deeper than {@link MOST_NESTED}. */
export function isNestedTooDeep(text: string): boolean {
  if (text.length <= 2 * MOST_NESTED) return false;
  let depth = 0;
  for (const [word] of text.matchAll(/"(?:[^"\\]|\\.)*"|[[\]{}]/g)) {
    if (word === "[" || word === "{") {
      depth += 1;
      if (depth > MOST_NESTED) return true;
    } else if (word === "]" || word === "}") depth -= 1;
  }
  return false;
}
