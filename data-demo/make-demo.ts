/**
 * Writes the demo study: everything in it is invented. A simulated rig (rig.ts) runs the coupons of plan.ts over
 * four days; the same seed writes the same bytes.
 *
 *     npm run demo-data
 */
import { writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { demoFiles } from "./files.js";

for (const [name, text] of Object.entries(demoFiles())) {
  writeFileSync(fileURLToPath(new URL(name, import.meta.url)), text);
}
