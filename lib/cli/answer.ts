import { asTyped } from "../errors/index.js";
import { paintAnswer } from "./colour.js";
import type { CommandIo } from "./io.js";
import { printable } from "./printable.js";

/** The option every command has; the program adds it where a command does not word it itself. */
export interface AnswerOptions {
  readonly json?: boolean;
}

/** A result as JSON; whatever a command prints or writes as JSON looks like this. */
export function jsonText(result: unknown): string {
  // What a terminal obeys stands in texts alone, and as its code means the same.
  return `${printable(JSON.stringify(result, null, 2))}\n`;
}

/** Prints what a command found: its data with `--json`, else a text for people. */
export function answer({
  io,
  options,
  result,
  text,
}: {
  readonly io: CommandIo;
  readonly options: AnswerOptions;
  readonly result: unknown;
  readonly text: () => string;
}): void {
  if (options.json === true) io.out(jsonText(result));
  else tell(io, text());
}

/** Prints a text for people, coloured where that is wanted. */
export function tell(io: CommandIo, text: string): void {
  const named = printable(asTyped(text, io.study));
  io.out(io.colour === true ? paintAnswer(named) : named);
}
