/**
 * Compiles `lib/` to `dist/`: the library and the command line, the bench page's modules, and the script of the report's
 * page, which is one file so that a report needs no other. Needs the locked packages.
 */
import { spawnSync } from "node:child_process";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);

for (const project of [at("lib", "tsconfig.json"), at("lib", "bench", "page", "tsconfig.json")]) {
  const compiler = at("node_modules", "typescript", "bin", "tsc");
  const { status } = spawnSync(process.execPath, [compiler, "-p", project], { cwd: root, stdio: "inherit" });
  if (status !== 0) process.exit(1);
}

const { metafile } = await build({
  absWorkingDir: root,
  entryPoints: [at("lib", "report", "page", "main.ts")],
  outfile: at("dist", "report", "page", "main.js"),
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  // The library loads packages late by Node's means, which a page lacks.
  alias: { "node:module": at("lib", "report", "page", "packages.ts") },
  define: { "import.meta.url": '""' },
  // Files of the library that need Node are left out, since nothing of them is used.
  external: ["node:*"],
  metafile: true,
  logLevel: "warning",
});
const [{ imports }] = Object.values(metafile.outputs);
if (imports.length > 0) {
  console.error(`the script of the report's page needs ${imports.map(({ path }) => path).join(", ")}`);
  process.exit(1);
}
