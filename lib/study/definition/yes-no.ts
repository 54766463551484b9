import { isDefectName } from "./trade-words.js";

/** Words for yes and no beside each other, in small letters. */
const answers: readonly Pair[] = [
  ["yes", "no"],
  ["true", "false"],
  ["y", "n"],
  ["1", "0"],
  ["ja", "nein"],
  ["oui", "non"],
  ["si", "no"],
  ["s\u00ed", "no"],
  ["s\u00ec", "no"],
];
/** Words that judge by themselves, whatever stands above them. */
const judgements: readonly Pair[] = [
  ["pass", "fail"],
  ["good", "bad"],
  ["ok", "nok"],
];

type Pair = readonly [yes: string, no: string];

const meanings = (pairs: readonly Pair[]): ReadonlyMap<string, boolean> =>
  new Map(
    pairs.flatMap(([yes, no]) => [
      [yes, true],
      [no, false],
    ]),
  );
const answerOf = meanings(answers);
const judgementOf = meanings(judgements);

/** What {@link readYesNo} takes, as the end of a sentence. */
export const YES_NO_RULE =
  "must be one of two answers: write yes or no (true/false, pass/fail, good/bad, ok/nok, y/n, 1/0, ja/nein, oui/non and si/no are read too)";

/** The answer a word gives, in capitals or not: true for yes and for pass. Undefined for any other word. */
export function readYesNo(word: string): boolean | undefined {
  const plain = word.trim().toLowerCase();
  return judgementOf.get(plain) ?? answerOf.get(plain);
}

/** Whether a word judges by itself, as pass, bad or nok do, where yes leaves open what is good. */
export function isJudgement(word: string): boolean {
  return judgementOf.has(word.trim().toLowerCase());
}

/** What the words of a verdict depend on. */
export interface Judged {
  readonly name: string;
  /** Which answer is good, where the study says it. */
  readonly good?: "yes" | "no";
}

/** The good answer: as the study says, yes where nothing tells otherwise, undefined for a defect, where yes may be either. */
function goodAnswer({ name, good }: Judged): "yes" | "no" | undefined {
  return good ?? (isDefectName(name) ? undefined : "yes");
}

/**
 * The verdict a word gives of a response: true for good. Where the response is a defect (`spatter`) yes may mean that
 * it is there or that the bead passed: the study must say which, or the word must judge by itself.
 *
 * @returns the verdict, or what is wrong with the word
 */
export function readVerdict(response: Judged, word: string): boolean | string {
  const answer = readYesNo(word);
  if (answer === undefined || isJudgement(word)) return answer ?? YES_NO_RULE;
  const good = goodAnswer(response);
  if (good !== undefined) return answer === (good === "yes");
  return `may mean that there is ${response.name} or that the bead passed: write pass or fail, or state "good": "no" (or "yes") for ${response.name} in study.json`;
}

/** The word that {@link readVerdict} takes for a verdict. */
export function verdictWord(response: Judged, passed: boolean): string {
  const good = goodAnswer(response);
  if (good === undefined) return passed ? "pass" : "fail";
  return passed === (good === "yes") ? "yes" : "no";
}

/** Whether yes, true and 1 are good, and no other answer. */
export const isYesGood = (response: Judged): boolean => goodAnswer(response) === "yes";
