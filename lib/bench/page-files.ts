import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";
import { BeadbenchError } from "../errors/index.js";

/** Folders of compiled modules that run in the page; none of them imports a package or a part of Node. */
const folders = [
  "bench/page",
  "bench/page/measure",
  "bench/pad",
  "bench/wire",
  "photo",
  "numeric/format",
  "errors",
] as const;

/** This file lies in `bench/` of the compiled library, or of its source while it is worked on. */
const here = dirname(dirname(fileURLToPath(import.meta.url)));

/** The service worker, which must lie above what it keeps. */
const WORKER = "bench/page/worker.js";

/** The scripts of the page by the path they are asked for under, and nothing else. */
export interface PageFiles {
  readonly scripts: ReadonlyMap<string, string>;
  readonly worker: string;
}

/**
 * Reads the compiled scripts of the page.
 *
 * @throws {BeadbenchError} `not-found` where they are not compiled
 */
export function readPageFiles(): PageFiles {
  const base = [here, join(dirname(here), "dist")].find((folder) => existsSync(join(folder, WORKER)));
  if (base === undefined)
    throw new BeadbenchError("not-found", "the bench page is not compiled: run `npm run build` first");
  const scripts = folders.flatMap((folder) =>
    readdirSync(join(base, folder))
      .filter((name) => name.endsWith(".js"))
      .map((name) => join(base, folder, name)),
  );
  return {
    scripts: new Map(
      scripts.map((path) => [
        `/app/${relative(base, path).split(sep).join("/")}`,
        readFileSync(path, "utf8"),
      ]),
    ),
    // The compiler marks every file as a module, which not every browser takes as a worker.
    worker: readFileSync(join(base, WORKER), "utf8").replace(/^export \{\};$/m, ""),
  };
}
