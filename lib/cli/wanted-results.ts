import { BeadbenchError } from "../errors/index.js";
import { type Spec, type StudyDefinition, toStudyUnit } from "../study/definition/index.js";
import { kindFault, sameDimension } from "../units/index.js";
import { resultFromWords } from "./study-words.js";

/**
 * The results of a draft with what is good of them, `bead width 5.5 to 6.5 mm`, in the unit the file has them in. A check is
 * good as it passes, so its name alone changes nothing.
 *
 * @throws {BeadbenchError} `bad-argument` where the file has no such result, or has it in another kind of unit
 */
export function withWanted(definition: StudyDefinition, want: readonly string[]): StudyDefinition {
  const specs = new Map(want.map((text) => specOf(definition, text)));
  const responses = definition.responses.map((response) => {
    const spec = specs.get(response.name);
    return spec === undefined ? response : { ...response, spec };
  });
  return { ...definition, responses };
}

function specOf(
  { responses }: StudyDefinition,
  text: string,
): readonly [name: string, spec: Spec | undefined] {
  const { name, unit, spec } = resultFromWords(text);
  const refused = (why: string): Error =>
    new BeadbenchError("bad-argument", `--want "${text}": ${name} ${why}`);
  const found = responses.find((response) => response.name === name);
  if (found === undefined)
    throw refused(
      `is no result of the file; results are ${responses.map((response) => response.name).join(", ")}; if the file measures it, add --results ${name}`,
    );
  if (found.kind === "passFail") {
    if (spec !== undefined) throw refused("holds yes and no in the file: name it without numbers");
    return [name, undefined];
  }
  if (spec === undefined)
    throw refused(`is measured: say what is good, such as --want "${name} 5 to 6 ${found.unit}"`);
  if (!sameDimension(unit!, found.unit)) throw refused(kindFault(unit!, found.unit));
  const ends = Object.entries(spec).map(([end, value]) => [end, toStudyUnit(value, unit!, found.unit)]);
  return [name, Object.fromEntries(ends)];
}
