/**
 * Makes a fresh clone ready: installs the locked packages when they are missing or older than the lock
 * file, links the package into its own `node_modules`, then compiles `lib/` to `dist/` when a source is newer than the last build. Runs before
 * `npm start`, `npm test` and the notebook scripts; needs nothing but Node and npm.
 */
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync, rmSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);
const modified = (path) => (existsSync(path) ? statSync(path).mtimeMs : 0);

function newest(folder) {
  return Math.max(
    ...readdirSync(folder, { withFileTypes: true }).map((entry) =>
      entry.isDirectory() ? newest(join(folder, entry.name)) : modified(join(folder, entry.name)),
    ),
  );
}

function run([command, ...args], what, shell = false) {
  console.error(`${what} ...`);
  const result = spawnSync(command, args, { cwd: root, stdio: ["ignore", "inherit", "inherit"], shell });
  if (result.status !== 0) {
    console.error(`${what} failed${result.error ? `: ${result.error.message}` : ""}`);
    process.exit(1);
  }
}

const installed = at("node_modules", ".package-lock.json");
if (modified(installed) < modified(at("package-lock.json"))) {
  // npm names its own script when it runs us; calling it through node avoids a shell on every platform.
  const npm = process.env.npm_execpath;
  const args = ["ci", "--no-audit", "--no-fund", "--loglevel=error"];
  if (npm) run([process.execPath, npm, ...args], "Installing packages");
  else run(["npm", ...args], "Installing packages", process.platform === "win32");
}

// Notebooks import the package by its name; npm removes the link whenever it installs.
const link = at("node_modules", "beadbench");
if (!existsSync(link)) {
  rmSync(link, { force: true });
  symlinkSync(process.platform === "win32" ? root : "..", link, "junction");
}

const stamp = at("dist", ".built");
if (
  modified(stamp) <
  Math.max(
    newest(at("lib")),
    modified(installed),
    modified(at("tsconfig.json")),
    modified(at(".ci", "build.mjs")),
  )
) {
  run([process.execPath, at(".ci", "build.mjs")], "Compiling");
  writeFileSync(stamp, "");
}
