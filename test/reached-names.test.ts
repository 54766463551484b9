import { mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { Reach } from "./support/reach.js";

/** Plain types that users may name though nothing here does. */
const accepted: readonly string[] = [];

describe("the public face", () => {
  const reach = new Reach();
  const names = reach.publicNames();

  test("is read whole, those of a whole layer by its name", () => {
    expect(names.size).toBeGreaterThan(800);
    for (const name of ["openStudy", "fitStudy", "regression.fitCurve", "physics.dwellTime", "units.convert"])
      expect(names.has(name), name).toBe(true);
  });

  test("has no name that commands, notebooks and examples do not come to", () => {
    const lost = [...names].filter(([name, place]) => !reach.isReached(place) && !accepted.includes(name));
    expect(lost.map(([name]) => name)).toEqual([]);
  });
});

test("a name that only another unreached name mentions is found, whichever way it is passed on", () => {
  const root = mkdtempSync(join(tmpdir(), "beadbench-reach-"));
  const put = (path: string, text: string): void => {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    writeFileSync(join(root, path), text);
  };
  mkdirSync(join(root, "notebooks"));
  put("README.md", "Words such as idle are no code, `shown(1)` is.");
  put("lib/index.ts", 'export * from "./a/index.js";\nexport * as layer from "./b/index.js";\n');
  put("lib/a/index.ts", 'export { used, idle as still } from "./a.js";\n');
  put(
    "lib/a/a.ts",
    'import { help } from "../b/index.js";\nexport const used = () => help();\nexport const idle = () => used();\n',
  );
  put("lib/b/index.ts", 'export * from "./b.js";\n');
  put(
    "lib/b/b.ts",
    `export function help() { return shape; }
const shape = 1;
/**
 * Told by an example.
 *
 * @example told(1) // => 1
 */
export const told = (x: number) => x;
export const shown = (x: number) => lonely(x);
export const lonely = (x: number) => x;
export interface Plain { readonly x: number }
`,
  );
  put(
    "lib/cli/main.ts",
    'import { used } from "../a/index.js";\nused();\nexport const run = () => used();\n',
  );
  const reach = new Reach(root);
  const lost = [...reach.publicNames()].filter(([, place]) => !reach.isReached(place));
  expect(lost.map(([name]) => name).sort()).toEqual(["layer.Plain", "layer.lonely", "layer.shown", "still"]);
});
