/** Words for yes and no beside each other, in small letters. */
const pairs: readonly (readonly [yes: string, no: string])[] = [
  ["yes", "no"],
  ["true", "false"],
  ["pass", "fail"],
  ["good", "bad"],
  ["ok", "nok"],
  ["y", "n"],
  ["1", "0"],
  ["ja", "nein"],
  ["oui", "non"],
  ["si", "no"],
  ["s\u00ed", "no"],
  ["s\u00ec", "no"],
];

const answers: ReadonlyMap<string, boolean> = new Map(
  pairs.flatMap(([yes, no]) => [
    [yes, true],
    [no, false],
  ]),
);

/** What {@link readYesNo} takes, as the end of a sentence. */
export const YES_NO_RULE =
  "must be one of two answers: write yes or no (true/false, pass/fail, good/bad, ok/nok, y/n, 1/0, ja/nein, oui/non and si/no are read too)";

/** The answer a word gives, in capitals or not: true is good. Undefined for any other word. */
export function readYesNo(word: string): boolean | undefined {
  return answers.get(word.trim().toLowerCase());
}
