import type { StudyDefinition } from "./definition.js";
import { asName } from "./name-rule.js";
import { tradeName } from "./trade-words.js";

/** The names a study gives to its columns. */
type Columns = {
  readonly [K in "factors" | "responses"]: readonly Pick<StudyDefinition[K][number], "name">[];
} & Pick<StudyDefinition, "blocks">;

/**
 * The columns of a study that a word typed in haste may mean: the column of that name; else the one the word is
 * another word of the trade for (`wfs`); else those with it among the words of their name (`width` for bead_width); else
 * those whose words begin with its letters (`ts` for travel_speed); else those of which it begins the name or a word of it
 * (`cur`). Several where it fits several alike, none where it fits none.
 *
 * @param word - in capitals or not, with `-` or `_` between words
 */
export function meantColumns(definition: Columns, word: string): readonly string[] {
  const typed = asName(word);
  if (typed === "") return [];
  const names = [
    ...definition.factors.map(({ name }) => name),
    ...definition.responses.map(({ name }) => name),
    ...definition.blocks,
  ];
  const words = (name: string): readonly string[] => name.toLowerCase().split("_");
  const rules: readonly ((name: string) => boolean)[] = [
    (name) => name === word.trim(),
    (name) => name.toLowerCase() === typed,
    (name) => tradeName(name.toLowerCase()) === tradeName(typed),
    (name) => words(name).includes(typed),
    (name) =>
      words(name)
        .map((part) => part[0] ?? "")
        .join("") === typed,
    (name) => name.toLowerCase().startsWith(typed) || words(name).some((part) => part.startsWith(typed)),
  ];
  for (const rule of rules) {
    const found = names.filter(rule);
    if (found.length > 0) return found;
  }
  return [];
}
