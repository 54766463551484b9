/**
 * Packs the package, installs it into an empty project and uses it there as a stranger would: the library example of the
 * README compiled and run, every docstring example of a public name, every sub-path, and the command line.
 *
 *     npm run check:package
 *
 * Needs a package registry. Ends with 1 when anything fails.
 */
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, relative, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { docstringExamples, lib, runExample } from "../support/docstring-examples.js";

const root = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..");
const project = mkdtempSync(join(tmpdir(), "beadbench-package-"));
const npm = process.env.npm_execpath;

/** Runs a program in the empty project; what it printed. */
function run(program: string, args: readonly string[], cwd = project): string {
  return execFileSync(program, args, { cwd, encoding: "utf8", stdio: ["ignore", "pipe", "inherit"] });
}
const runNpm = (args: readonly string[], cwd?: string): string =>
  npm === undefined
    ? run(process.platform === "win32" ? "npm.cmd" : "npm", args, cwd)
    : run(process.execPath, [npm, ...args], cwd);

function install(): void {
  const [packed] = JSON.parse(runNpm(["pack", "--json", "--pack-destination", project], root)) as {
    readonly filename: string;
    readonly files: readonly { readonly path: string }[];
  }[];
  const strays = packed!.files.filter(
    ({ path }) => /^(test|lib|notebooks)\//.test(path) || path.endsWith(".test.js"),
  );
  if (strays.length > 0) throw new Error(`the package holds ${strays.map(({ path }) => path).join(", ")}`);
  // Ours hold where ours is the root; elsewhere whoever needs them sets them.
  const { overrides } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
    overrides: unknown;
  };
  writeFileSync(join(project, "package.json"), JSON.stringify({ private: true, type: "module", overrides }));
  runNpm(["install", "--no-audit", "--no-fund", "--loglevel=error", `./${packed!.filename}`]);
  console.log(`installed: ${packed!.files.length} files`);
}

/** The command line, on the invented demo study, and a study for the library's example. */
function useCommands(): void {
  const main = join(project, "node_modules", "beadbench", "dist", "cli", "main.js");
  run(process.execPath, [main, "demo", "out"]);
  cpSync(join(project, "out", "study"), join(project, "my-study"), { recursive: true });
  const status = run(process.execPath, [main, "status", "my-study"]);
  if (!/39 coupons/.test(status)) throw new Error(`status says ${status}`);
  console.log("command line: demo and status fine");
}

/** Compiles the README's example strictly and runs it. */
function useReadme(): void {
  const [, code] = /```ts\n([\s\S]*?)```/.exec(readFileSync(join(root, "README.md"), "utf8")) ?? [];
  if (code === undefined) throw new Error("README.md holds no example in TypeScript");
  writeFileSync(join(project, "example.ts"), code);
  const types = dirname(createRequire(import.meta.url).resolve("@types/node/package.json"));
  cpSync(types, join(project, "node_modules", "@types", "node"), { recursive: true });
  const compiler = join(root, "node_modules", "typescript", "bin", "tsc");
  const options = [
    "--strict",
    "--target",
    "es2022",
    "--module",
    "nodenext",
    "--types",
    "node",
    "--skipLibCheck",
  ];
  run(process.execPath, [compiler, ...options, "example.ts"]);
  const said = run(process.execPath, ["example.js"]);
  if (!/chance to conform 0\.\d+ between/.test(said)) throw new Error(`the README's example says ${said}`);
  console.log("library example of the README: compiled and run");
}

/** Every sub-path gives what the package's face gives under its name. */
async function publicScope(): Promise<Readonly<Record<string, unknown>>> {
  const own = createRequire(join(project, "package.json"));
  const load = (name: string): Promise<Record<string, unknown>> =>
    import(pathToFileURL(join(project, "node_modules", "beadbench", name)).href);
  const { exports: paths } = own("beadbench/package.json") as {
    readonly exports: Readonly<Record<string, string | { readonly default: string; readonly types: string }>>;
  };
  const face = await load("dist/index.js");
  const scope: Record<string, unknown> = { ...face };
  for (const [path, target] of Object.entries(paths)) {
    if (typeof target === "string" || path === ".") continue;
    const layer = await load(target.default);
    readFileSync(join(project, "node_modules", "beadbench", target.types));
    if (face[path.slice(2)] !== layer)
      throw new Error(`beadbench/${path.slice(2)} is not what beadbench exports by that name`);
    Object.assign(scope, layer);
  }
  own("beadbench/schemas/preset-2.json");
  console.log(`sub-paths: ${Object.keys(paths).length}, all there`);
  return scope;
}

function useDocstrings(scope: Readonly<Record<string, unknown>>): void {
  const called = (code: string): string => /^[\w$]+/.exec(code)?.[0] ?? "";
  const known = docstringExamples.filter(({ code }) => called(code) in scope);
  let wrong = 0;
  for (const example of known) {
    const { actual, expected } = runExample(example, scope);
    if (JSON.stringify(actual) === JSON.stringify(expected)) continue;
    wrong++;
    console.log(
      `${relative(lib, example.file)}: ${example.code} gives ${JSON.stringify(actual)}, not ${example.value}`,
    );
  }
  console.log(`docstring examples of public names: ${known.length - wrong} of ${known.length} as printed`);
  if (wrong > 0 || known.length < 0.8 * docstringExamples.length) process.exitCode = 1;
}

try {
  install();
  useCommands();
  useReadme();
  useDocstrings(await publicScope());
} finally {
  rmSync(project, { recursive: true, force: true });
}
