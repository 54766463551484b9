import { readdirSync } from "node:fs";
import type { Finding } from "../../errors/index.js";
import type { Study } from "./study.js";

/** `journal (1).jsonl`, `journal-LAPTOP.jsonl`, `journal.jsonl.orig`: not what the journal itself, its lock or its torn ends are called. */
const COPY = /^journal\b(?!\.jsonl$|\.lock|\.torn-).*\.jsonl\b/i;

/**
 * Other journals beside a study's own, as a sync service leaves them where two computers wrote at once. What was logged there is
 * not in the record.
 */
export function journalCopies({ folder }: Pick<Study, "folder">): readonly Finding[] {
  return readdirSync(folder)
    .filter((name) => COPY.test(name))
    .map((name) => ({
      code: "journal-copy",
      severity: "warning",
      message: `${name} lies beside the journal, as a sync service leaves it where two computers wrote at once; what it alone holds is not in the record`,
      advice: `put it as journal.jsonl into a copy of this folder and bring in what it holds with \`beadbench merge\`, then move ${name} away`,
      about: [name],
    }));
}
