/**
 * A process that writes notes to a journal and prints the number of each once it is acknowledged.
 * Usage: journal-writer.ts <study folder> <name> <count>
 */
import { writeSync } from "node:fs";
import { appendEntries, openStudy } from "../../lib/study/index.js";

const [folder = "", name = "", count = "0"] = process.argv.slice(2);
let study = openStudy(folder);
for (let i = 1; i <= Number(count); i++) {
  study = appendEntries(study, [{ kind: "note", text: `${name} ${i}` }]);
  writeSync(1, `${i}\n`);
}
