import type { RandomStream } from "../../../lib/numeric/index.js";
import { mutateBytes } from "./bytes.js";
import { chance, oddNumbers, oddWords, pick } from "./odd.js";

type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** Stands for text that is no value of JavaScript, such as -0, 1e400, or ten thousand brackets. */
const raw = (text: string): string => `\u0001${text}\u0001`;
const RAW = /"\\u0001((?:[^"\\]|\\.)*?)\\u0001"/g;
/** Written out at the end only: a tree of these could not be walked without a stack as deep. */
const DEEP = "deep nesting";
const written = (value: Json): string =>
  JSON.stringify(value, null, 2).replaceAll(RAW, (_, text: string) =>
    text === DEEP ? `${"[".repeat(10_000)}${"]".repeat(10_000)}` : text,
  );

const oddValues = (draw: RandomStream): Json =>
  pick<() => Json>(draw, [
    () => null,
    () => chance(draw, 0.5),
    () => [],
    () => ({}),
    () => [[]],
    () => pick(draw, oddWords),
    () => pick(draw, oddWords),
    () => raw(pick(draw, oddNumbers)),
    () => raw(pick(draw, oddNumbers)),
    () => pick(draw, oddNumbers),
    () => ({ value: 1, unit: pick(draw, oddWords) }),
    () =>
      chance(draw, 0.05)
        ? Array.from({ length: 100_000 }, () => 1)
        : Array.from({ length: 50 }, (_, i) => `x${i}`),
    () => (chance(draw, 0.2) ? raw(DEEP) : {}),
  ])();

/** Every place of a tree below its root, as the keys that lead there. */
function placesOf(value: Json, path: readonly string[] = []): readonly (readonly string[])[] {
  if (value === null || typeof value !== "object") return [];
  return Object.entries(value).flatMap(([key, child]) => [
    [...path, key],
    ...placesOf(child as Json, [...path, key]),
  ]);
}

const at = (value: Json, path: readonly string[]): Json =>
  path.reduce<Json>((node, key) => Reflect.get(node as object, key) as Json, value);

/** A tree with the list of entries at a node changed; entries of lists have their number for a key. */
function changeAt(
  value: Json,
  path: readonly string[],
  change: (entries: readonly (readonly [string, Json])[]) => readonly (readonly [string, Json])[],
): Json {
  const list = Array.isArray(value);
  const entries = Object.entries(value as object) as [string, Json][];
  const [key, ...rest] = path;
  const changed =
    key === undefined
      ? change(entries)
      : entries.map(([name, child]): [string, Json] => [
          name,
          name === key ? changeAt(child, rest, change) : child,
        ]);
  return list ? changed.map(([, child]) => child) : Object.fromEntries(changed);
}

/** A tree with one thing done to it at a random place. */
function mutateTree(draw: RandomStream, value: Json, other: Json): Json {
  const places = placesOf(value);
  if (places.length === 0) return oddValues(draw);
  const path = pick(draw, places);
  const key = path.at(-1)!;
  const parent = path.slice(0, -1);
  const here = at(value, path);
  const put = (next: Json): Json =>
    changeAt(value, parent, (entries) => entries.map(([name, child]) => [name, name === key ? next : child]));
  return pick<() => Json>(draw, [
    () => put(oddValues(draw)),
    () => put(oddValues(draw)),
    () => put(pick(draw, oddWords)),
    () => put(raw(pick(draw, oddNumbers))),
    () => (typeof here === "number" ? put(here * 10 ** draw.integer(-9, 9)) : put(JSON.stringify(here))),
    () => (typeof here === "number" ? put(-here) : put([here])),
    () => put(at(value, pick(draw, places))),
    () => {
      const elsewhere = placesOf(other);
      return elsewhere.length === 0 ? put(other) : put(at(other, pick(draw, elsewhere)));
    },
    () => changeAt(value, parent, (entries) => entries.filter(([name]) => name !== key)),
    () =>
      changeAt(value, parent, (entries) =>
        entries.map(([name, child]) => [name === key ? pick(draw, oddWords) : name, child]),
      ),
    () => changeAt(value, parent, (entries) => [...entries, [pick(draw, oddWords), oddValues(draw)]]),
    () => changeAt(value, parent, (entries) => [...entries, [`${key}2`, here]]),
    () => changeAt(value, parent, (entries) => draw.shuffle(entries)),
  ])();
}

/** What a hand or a careless program does to the text of a JSON file. */
function mutateText(draw: RandomStream, text: string): string | Buffer {
  return pick<() => string | Buffer>(draw, [
    () => `\ufeff${text}`,
    () => Buffer.from(`\ufeff${text}`, "utf16le"),
    () => text.replaceAll("\n", "\r"),
    () => text.replace(/,\s*$/m, ",,"),
    () => text.replace(/"(\w+)":/, "$1:"),
    () => text.replace(/"/, "'"),
    () => text.replace(/\d+(\.\d+)?/, () => pick(draw, ["NaN", "0123", "+1", ".5", "1.", "0x10"])),
    () => `// a remark\n${text}`,
    () => `${text}${text}`,
    () => text.replace(/("(\w+)":)/, '"$2": 1, $1'),
    () => "",
    () => mutateBytes(draw, Buffer.from(text)),
    () => mutateBytes(draw, Buffer.from(text)),
  ])();
}

/** A JSON text with one to four things done to it, mostly in its tree; `other` lends parts. */
export function mutateJson(draw: RandomStream, text: string, other: string = text): string | Buffer {
  if (chance(draw, 0.15)) return mutateText(draw, text);
  let tree = JSON.parse(text) as Json;
  const lender = JSON.parse(other) as Json;
  for (let i = 0; i === 0 || (i < 4 && chance(draw, 0.35)); i++) tree = mutateTree(draw, tree, lender);
  const found = written(tree);
  return chance(draw, 0.03) ? mutateText(draw, found) : found;
}
