import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

/** Where the library's sources lie. */
export const lib = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..", "lib");

/** A line `@example code // => value` of a docstring. */
export interface DocstringExample {
  readonly file: string;
  readonly code: string;
  readonly value: string;
}

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return sources(path);
    return path.endsWith(".ts") && !path.endsWith("main.ts") ? [path] : [];
  });
}

export const docstringExamples: readonly DocstringExample[] = sources(lib).flatMap((file) =>
  [...readFileSync(file, "utf8").matchAll(/@example (.+?) \/\/ => (.+)/g)].map((match) => ({
    file,
    code: match[1]!,
    value: match[2]!.trim(),
  })),
);

/** Rounds to the digits the example prints. */
function asPrinted(actual: number, printed: string): number {
  const decimals = /\.(\d+)/.exec(printed)?.[1]?.length ?? 0;
  const exponent = Number(/e([-+]?\d+)/i.exec(printed)?.[1] ?? 0);
  const scale = 10 ** (decimals - exponent);
  return Math.round(actual * scale) / scale;
}

/** What the example gives and what it says it gives; a number as far as its digits are printed. */
export function runExample(
  { code, value }: DocstringExample,
  scope: Readonly<Record<string, unknown>>,
): { readonly actual: unknown; readonly expected: unknown } {
  const actual = new Function(...Object.keys(scope), `return (${code});`)(...Object.values(scope)) as unknown;
  const expected = new Function(`return (${value});`)() as unknown;
  if (typeof actual !== "number" || typeof expected !== "number") return { actual, expected };
  const rounded = asPrinted(actual, value);
  return {
    actual: Math.abs(rounded - expected) <= 1e-12 * Math.abs(expected) ? expected : rounded,
    expected,
  };
}
