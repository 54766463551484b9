/**
 * Writes the demo studies: everything in them is invented. A simulated rig (rig.ts) runs the coupons of plan.ts over
 * four days; another (ring/laws.ts) builds a ring of 200 layers five times. The same seeds write the same bytes.
 *
 *     npm run demo-data
 */
import { writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { demoFiles } from "./files.js";
import { ringFiles } from "./ring/files.js";

for (const [name, text] of Object.entries({ ...demoFiles(), ...ringFiles() })) {
  writeFileSync(fileURLToPath(new URL(name, import.meta.url)), text);
}
