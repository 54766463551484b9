import { BeadbenchError } from "../../errors/index.js";
import { importCsv } from "../csv/index.js";
import type { EntryBody } from "../journal/index.js";
import { appendEntries, type CorrectionChange, correctionOf, type Study } from "../record/index.js";

/** One step of a script: rows to import, an entry to log, or a correction of a coupon. */
export type StudyEvent = { readonly time: string } & (
  | { readonly import: string }
  | { readonly log: EntryBody }
  | { readonly correct: CorrectionChange & { readonly coupon: string } }
);

/**
 * Reads a script of events, one JSON object per line: `{"time": …, "import": "day-1.csv"}`,
 * `{"time": …, "log": {"kind": "change", …}}` or `{"time": …, "correct": {"coupon": "C004", …, "reason": …}}`.
 *
 * @throws {BeadbenchError} `bad-file` with the line that is none of these
 */
export function parseEvents(text: string, file = "events"): readonly StudyEvent[] {
  return text.split("\n").flatMap((line, i): readonly StudyEvent[] => {
    if (line.trim() === "") return [];
    const event = parseJson(line);
    const known = ["import", "log", "correct"].filter((key) => event !== undefined && key in event);
    if (event === undefined || known.length !== 1 || Number.isNaN(Date.parse(String(event.time)))) {
      const message = 'must hold "time" and one of "import", "log", "correct"';
      throw new BeadbenchError("bad-file", `${file}:${i + 1}: ${message}`, {
        issues: [{ file, line: i + 1, message }],
      });
    }
    return [event as unknown as StudyEvent];
  });
}

function parseJson(line: string): Record<string, unknown> | undefined {
  try {
    const json: unknown = JSON.parse(line);
    return json !== null && typeof json === "object" ? (json as Record<string, unknown>) : undefined;
  } catch {
    return undefined;
  }
}

/**
 * Logs one event, stamped with its own time.
 *
 * @param readFile - gives the text of a file that the event names
 */
export function applyEvent(
  study: Study,
  event: StudyEvent,
  readFile: (name: string) => string | Uint8Array,
): Study {
  const options = { clock: () => new Date(event.time) };
  if ("import" in event)
    return importCsv(study, readFile(event.import), { ...options, file: event.import }).study;
  if ("log" in event) return appendEntries(study, [event.log], options);
  const { coupon, ...change } = event.correct;
  return appendEntries(study, [correctionOf(study, coupon, change)], options);
}
