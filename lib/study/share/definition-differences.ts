import type { StudyDefinition } from "../definition/index.js";
import { canonicalJson } from "../journal/index.js";

/**
 * Where two definitions differ, one line each: `factors[1].high: 200 here, 220 there`. Factors and responses are told by their
 * names, so that one more of them is one line.
 */
export function definitionDifferences(own: StudyDefinition, other: StudyDefinition): readonly string[] {
  return differences(own, other, "");
}

function differences(own: unknown, other: unknown, path: string): readonly string[] {
  if (isSame(own, other)) return [];
  const [a, b] = [partsOf(own), partsOf(other)];
  if (a === undefined || b === undefined) return [`${path}: ${told(own)} here, ${told(other)} there`];
  const found = [...new Set([...a.keys(), ...b.keys()])].flatMap((key) =>
    differences(a.get(key), b.get(key), path === "" ? key : `${path}.${key}`),
  );
  return found.length > 0 ? found : [`${path}: in another order`];
}

const isSame = (own: unknown, other: unknown): boolean =>
  own === undefined || other === undefined ? own === other : canonicalJson(own) === canonicalJson(other);

/** What a value is made of, by key, name or place; undefined for a plain one. */
function partsOf(value: unknown): ReadonlyMap<string, unknown> | undefined {
  if (Array.isArray(value)) {
    return new Map(
      value.map((item: unknown, i) => {
        const name = (item as { readonly name?: unknown } | null)?.name;
        return [typeof name === "string" ? name : String(i + 1), item];
      }),
    );
  }
  return value !== null && typeof value === "object" ? new Map(Object.entries(value)) : undefined;
}

const MOST = 80;

function told(value: unknown): string {
  if (value === undefined) return "absent";
  const text = canonicalJson(value);
  return text.length > MOST ? `${text.slice(0, MOST)}...` : text;
}
