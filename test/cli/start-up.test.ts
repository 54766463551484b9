import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeAll, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";

const root = fileURLToPath(new URL("../..", import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), "beadbench-start-"));
const study = join(scratch, "study");

/** Every script a Node program loaded, as the coverage of its engine lists them; the program must end well. */
function scriptsOf(...words: readonly string[]): readonly string[] {
  const coverage = mkdtempSync(join(scratch, "loaded-"));
  const ran = spawnSync(process.execPath, ["--import", "tsx", ...words], {
    cwd: root,
    encoding: "utf8",
    env: { ...process.env, NODE_V8_COVERAGE: coverage },
  });
  expect(ran.status, ran.stderr).toBe(0);
  return readdirSync(coverage).flatMap((file) => {
    const { result } = JSON.parse(readFileSync(join(coverage, file), "utf8")) as {
      result: readonly { readonly url: string }[];
    };
    return result.map(({ url }) => url).filter((url) => url.startsWith("file:"));
  });
}

const { dependencies } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
  readonly dependencies: Readonly<Record<string, string>>;
};

/** Packages this one depends on, and layers of its own, that a command loads. */
function loadedBy(...args: readonly string[]): {
  readonly packages: readonly string[];
  readonly layers: readonly string[];
} {
  const scripts = scriptsOf(join("lib", "cli", "main.ts"), ...args);
  const layers = scripts.flatMap((url) => /\/lib\/([^/]+)\/[^/]+(?:\/[^/]+)*\.ts$/.exec(url)?.[1] ?? []);
  return {
    packages: Object.keys(dependencies).filter((name) =>
      scripts.some((url) => url.includes(`/node_modules/${name}/`)),
    ),
    layers: [...new Set(layers)].sort(),
  };
}

beforeAll(() => {
  createDemoStudy(study);
});

test.each([["--version"], ["--help"]])("%s loads the command line alone", (flag) => {
  expect(loadedBy(flag)).toEqual({ packages: ["commander"], layers: ["cli", "errors"] });
});

test("log loads the record and what judges a setting, no statistics and no chart", () => {
  const { packages, layers } = loadedBy(
    "log",
    study,
    "C001",
    "bead_width=5.1mm",
    "--correct",
    "--why",
    "read",
  );
  expect(packages).toEqual(["commander", "simple-statistics"]);
  expect(layers).toEqual(["cli", "errors", "models", "numeric", "process", "study", "units"]);
});

test("incident loads the record alone", () => {
  const { packages, layers } = loadedBy("incident", study, "wire stuck", "--lost", "20 min");
  expect(packages).toEqual(["commander", "simple-statistics"]);
  expect(layers).toEqual(["cli", "errors", "numeric", "study", "units"]);
});

test("check loads the smooth and the logit it looks for slips with, no window, chart or table", () => {
  const { packages, layers } = loadedBy("check", study);
  for (const name of ["arquero", "csv-parse", "ml-levenberg-marquardt", "vega", "vega-lite", "zod"])
    expect(packages).not.toContain(name);
  expect(layers).toEqual([
    "cli",
    "errors",
    "models",
    "numeric",
    "process",
    "regression",
    "study",
    "traces",
    "units",
  ]);
});
