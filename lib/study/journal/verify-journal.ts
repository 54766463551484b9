import { onlyDefined } from "../../errors/index.js";
import { readJournalFile } from "./journal-file.js";
import type { JournalFault } from "./read-journal.js";

/** What {@link verifyJournal} found. */
export interface JournalCheck {
  /** Number of sound entries. */
  readonly entries: number;
  /** Hash of the last entry: written down elsewhere, it shows later whether entries were cut off the end. */
  readonly lastHash?: string;
  readonly faults: readonly JournalFault[];
  /** An unfinished end, not yet set aside. */
  readonly torn?: string;
}

/**
 * Checks the journal of a study folder line by line, without changing anything: form, order, hash of each entry and its
 * link to the one before. Entries cut off the end leave no trace in it; compare `lastHash` with one written down.
 * A folder without a journal has no entries and no faults.
 */
export function verifyJournal(folder: string): JournalCheck {
  const { entries, faults, last, torn } = readJournalFile(folder);
  return {
    entries: entries.length,
    faults,
    ...(last === undefined ? {} : { lastHash: last.hash }),
    ...onlyDefined({ torn }),
  };
}
