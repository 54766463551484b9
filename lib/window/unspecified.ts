import type { Finding } from "../errors/index.js";
import type { StudyDefinition } from "../study/index.js";

/** A warning when measured responses have no specification: every value of theirs counts as conforming. */
export function unspecified(definition: StudyDefinition): readonly Finding[] {
  const about = definition.responses
    .filter(({ kind, spec }) => kind === "measured" && spec === undefined)
    .map(({ name }) => name);
  if (about.length === 0) return [];
  return [
    {
      code: "no-specification",
      severity: "warning",
      message: `study.json does not say which ${about.join(" and ")} is good, so any value counts as conforming`,
      advice: 'add a "spec" with lower and upper to the response',
      about,
    },
  ];
}
