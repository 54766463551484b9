import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";

const lib = resolve(dirname(fileURLToPath(import.meta.url)), "..", "lib");

interface Example {
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

const examples: readonly Example[] = sources(lib).flatMap((file) =>
  [...readFileSync(file, "utf8").matchAll(/@example (.+?) \/\/ => (.+)/g)].map((match) => ({
    file,
    code: match[1]!,
    value: match[2]!.trim(),
  })),
);

/** Everything a docstring may call: its own file's exports, then every layer's. */
async function scopeOf(file: string): Promise<Record<string, unknown>> {
  const layers = readdirSync(lib, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && entry.name !== "cli")
    .map((entry) => import(join(lib, entry.name, "index.ts")));
  return Object.assign({}, ...(await Promise.all(layers)), await import(file));
}

/** Rounds to the digits the example prints. */
function asPrinted(actual: number, printed: string): number {
  const decimals = /\.(\d+)/.exec(printed)?.[1]?.length ?? 0;
  const exponent = Number(/e([-+]?\d+)/i.exec(printed)?.[1] ?? 0);
  const scale = 10 ** (decimals - exponent);
  return Math.round(actual * scale) / scale;
}

describe("examples in docstrings", () => {
  test("there are some", () => {
    expect(examples.length).toBeGreaterThan(20);
  });

  test.each(examples.map((example) => [relative(lib, example.file), example.code, example] as const))(
    "%s: %s",
    async (_file, code, { file, value }) => {
      const scope = await scopeOf(file);
      const actual = new Function(...Object.keys(scope), `return (${code});`)(
        ...Object.values(scope),
      ) as unknown;
      const expected = new Function(`return (${value});`)() as unknown;
      if (typeof actual === "number" && typeof expected === "number") {
        const rounded = asPrinted(actual, value);
        expect(Math.abs(rounded - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected));
      } else expect(actual).toEqual(expected);
    },
  );
});
