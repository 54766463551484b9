/** What a command may touch of the outside world; tests pass their own. */
export interface CommandIo {
  /** Results: text for people, or JSON with `--json`. */
  out(text: string): void;
  /** Messages about the work; never part of the result. */
  note(text: string): void;
  /** All of standard input. */
  readInput(): Promise<string>;
  /** Puts a question to someone at a terminal and takes a line, undefined where the lines end; absent in a pipe. */
  readonly ask?: (question: string) => Promise<string | undefined>;
  /** Whether answers are coloured; tables for machines never are. */
  readonly colour?: boolean;
  /** Says what takes its time, to someone at a terminal; absent in a pipe. */
  readonly doing?: (what: string) => void;
  /** The study as it was typed, `.` where it was left out; undefined for a line that names none. */
  readonly study?: string;
  clock(): Date;
  /** Resolves when the user asks a command that serves something to stop. */
  untilStopped(): Promise<void>;
  /** Folder that relative paths start from. */
  readonly folder: string;
}

/** Exit status of a command that did its work but must not be taken for a success, such as a failed check. */
export class ExitStatus extends Error {
  readonly status: number;
  constructor(status: number) {
    super(`exit status ${status}`);
    this.status = status;
  }
}
