/**
 * Line, from 1, on which a value of a JSON text stands, so that a fault can be shown where it was typed. The line of the nearest
 * enclosing value where the path leads to nothing, as for a key that is missing.
 *
 * @param text - JSON that parses
 * @param path - keys and positions from the top
 */
export function jsonLine(text: string, path: readonly PropertyKey[]): number {
  const places = new Map<string, number>();
  // Strings, then punctuation that opens, parts and closes; other values need no look inside.
  const token = /"(?:[^"\\]|\\.)*"|[[\]{},:]|[^\s[\]{},:"]+/g;
  const open: { key: string | number; readonly list: boolean; wantsKey: boolean }[] = [];
  const note = (at: number): void => {
    places.set(JSON.stringify(open.map(({ key }) => String(key))), at);
  };
  places.set("[]", token.exec(text)?.index ?? 0);
  token.lastIndex = 0;
  for (const { 0: word, index } of text.matchAll(token)) {
    const here = open.at(-1);
    if (word === "{" || word === "[") {
      if (here?.list === true) note(index);
      open.push({ key: word === "[" ? 0 : "", list: word === "[", wantsKey: word === "{" });
    } else if (word === "}" || word === "]") open.pop();
    else if (word === ",") {
      if (here?.list === true) here.key = Number(here.key) + 1;
      else if (here !== undefined) here.wantsKey = true;
    } else if (here !== undefined && word !== ":") {
      if (here.wantsKey) {
        here.key = JSON.parse(word) as string;
        here.wantsKey = false;
        note(index);
      } else if (here.list) note(index);
    }
  }
  for (let length = path.length; length >= 0; length--) {
    const at = places.get(JSON.stringify(path.slice(0, length).map(String)));
    if (at !== undefined) return text.slice(0, at).split("\n").length;
  }
  return 1;
}
