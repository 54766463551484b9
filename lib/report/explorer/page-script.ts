import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { BeadbenchError } from "../../errors/index.js";

/** This file lies in `report/explorer/` of the compiled library, or of its source while it is worked on. */
const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

/**
 * The script of a page with an explorer: one file, built with the library, that asks for no other.
 *
 * @throws {BeadbenchError} `not-found` where it is not built
 */
export function readPageScript(): string {
  const path = [root, join(dirname(root), "dist")]
    .map((folder) => join(folder, "report", "page", "main.js"))
    .find(existsSync);
  if (path === undefined)
    throw new BeadbenchError("not-found", "the report's page is not built: run `npm run build` first");
  return readFileSync(path, "utf8");
}
