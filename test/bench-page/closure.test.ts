import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { readPageFiles } from "../../lib/bench/page-files.js";

const lib = fileURLToPath(new URL("../../lib/", import.meta.url));

/** Everything a file loads when it runs: imports of values, by their path or their package. */
function loads(file: string): readonly string[] {
  const text = readFileSync(file, "utf8");
  return [
    ...text.matchAll(/^(?:import|export)\s+(?!type\b)[^;]*?from\s+"([^"]+)"|^import\s+"([^"]+)"/gms),
  ].map(([, from, bare]) => from ?? bare!);
}

function closure(start: readonly string[]): ReadonlySet<string> {
  const seen = new Set<string>();
  const visit = (file: string): void => {
    if (seen.has(file)) return;
    seen.add(file);
    for (const path of loads(file)) {
      if (path.startsWith(".")) visit(resolve(dirname(file), path.replace(/\.js$/, ".ts")));
      else throw new Error(`${file} loads ${path}, which no browser has`);
    }
  };
  start.forEach(visit);
  return seen;
}

test("the page loads no package and no part of Node, and everything it loads is served", () => {
  const page = join(lib, "bench", "page");
  const files = readdirSync(page, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts"))
    .map((name) => join(page, name));
  expect(files.length).toBeGreaterThan(15);
  const served = readPageFiles().scripts;
  for (const file of closure(files)) {
    expect(existsSync(file)).toBe(true);
    expect([...served.keys()]).toContain(`/app/${file.slice(lib.length).replace(/\.ts$/, ".js")}`);
  }
});

test("the worker is a plain script, which every browser takes", () => {
  const { worker } = readPageFiles();
  expect(worker).not.toMatch(/^(?:import|export)\b/m);
});
