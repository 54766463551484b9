import { kindRules, meantColumns, type StudyDefinition } from "../../study/definition/index.js";
import type { Coupon, DefinedStudy } from "../../study/record/index.js";

/** The command that logs a planned coupon, with its names cut short and blanks to fill in. */
export function logLine({ definition }: DefinedStudy, { id }: Coupon, here: string): string {
  const results = definition.responses.map(({ name, kind }) => {
    const short = shortName(definition, name);
    return kindRules(kind).cells === "verdicts" ? short : `${short}=__`;
  });
  return ["beadbench log", ...(here === "" ? [] : [here.trim()]), id, ...results].join(" ");
}

/** The last word of a name that means it alone, else the first such, else the name. */
function shortName(definition: StudyDefinition, name: string): string {
  const words = name.split("_").reverse();
  return (
    words.find((word) => {
      const meant = meantColumns(definition, word);
      return meant.length === 1 && meant[0] === name;
    }) ?? name
  );
}
