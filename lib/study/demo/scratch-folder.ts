import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/**
 * A new empty folder among the system's temporary files, for trying things out in a notebook or a test. Nobody removes it.
 *
 * @returns its path
 */
export function scratchFolder(): string {
  return mkdtempSync(join(tmpdir(), "beadbench-"));
}
