/** Where a command in an advice names the study. */
const PLACE = /(\bbeadbench [a-z][a-z-]*)(\s+)<study>/g;

/**
 * A text whose advice names the study as it was typed, so that its commands can be pasted; in the study's folder, where
 * nothing need be typed, they leave it out.
 *
 * @param study - the folder as typed, `.` for the one stood in; undefined leaves the text as it is
 */
export function asTyped(text: string, study: string | undefined): string {
  if (study === undefined) return text;
  if (study === ".") return text.replace(PLACE, "$1");
  // A blank or a sign of the shell in a folder's name would part it.
  const word = /^[\p{L}\p{N}_./\\:~-]+$/u.test(study) ? study : `"${study}"`;
  return text.replace(PLACE, (_, command: string, gap: string) => command + gap + word);
}
