/** What of a stream and its surroundings says whether colour is wanted. */
export interface ColourAsked {
  readonly terminal: boolean;
  readonly env: Readonly<Record<string, string | undefined>>;
}

/**
 * Whether to colour what goes to a stream: in a terminal only, never with `NO_COLOR`, always with `FORCE_COLOR` (but for
 * `FORCE_COLOR=0`), as the two are commonly understood.
 *
 * @source no-color.org and force-color.org, from memory
 */
export function wantsColour({ terminal, env }: ColourAsked): boolean {
  if ((env.NO_COLOR ?? "") !== "") return false;
  const forced = env.FORCE_COLOR ?? "";
  if (forced !== "") return forced !== "0" && forced !== "false";
  return terminal && env.TERM !== "dumb";
}

const RED = 31;
const YELLOW = 33;
const CYAN = 36;
const BOLD = 1;

const painted = (code: number, text: string): string => `\u001b[${code}m${text}\u001b[0m`;

const marks = [
  [/^\[!!\]/gm, RED],
  [/^\[ !\]/gm, YELLOW],
  [/^\[ i\]/gm, CYAN],
  [/^(?:beadbench|error):/gm, RED],
] as const;

/** Faults and the marks of findings coloured. */
export function paintMarks(text: string): string {
  return marks.reduce((sum, [mark, code]) => sum.replace(mark, (found) => painted(code, found)), text);
}

/** An answer with its head in bold, the first sentence or the first line, and its findings marked. */
export function paintAnswer(text: string): string {
  const [paragraph] = text.split("\n\n", 1) as [string];
  const [head] = /^[\s\S]*?\.(?=\s|$)/.exec(paragraph) ?? /^.*/.exec(paragraph)!;
  const rest = paintMarks(text.slice(head.length));
  // A text that begins with a finding has no head.
  return head === "" || /^\[( |!)[!i]\]/.test(head) ? paintMarks(text) : painted(BOLD, head) + rest;
}
