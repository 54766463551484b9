/**
 * A process that writes notes to a journal and prints the number of each once it is acknowledged.
 * Usage: journal-writer.ts <study folder> <name> <count>
 */
import { writeSync } from "node:fs";
// Not through index.ts: the process starts sooner without the table and CSV packages.
import { appendEntries, openStudy } from "../../../lib/study/record/study.js";

const [folder = "", name = "", count = "0"] = process.argv.slice(2);
let study = openStudy(folder);
for (let i = 1; i <= Number(count); i++) {
  study = appendEntries(study, [{ kind: "note", text: `${name} ${i}` }]);
  writeSync(1, `${i}\n`);
}
