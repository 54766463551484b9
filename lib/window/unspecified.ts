import type { Finding } from "../errors/index.js";
import { unlimited } from "../models/index.js";
import type { StudyDefinition } from "../study/index.js";

/** A warning when responses with numbers have no limits: every value of theirs counts as conforming. */
export function unspecified(definition: StudyDefinition): readonly Finding[] {
  const about = unlimited(definition).map(({ name }) => name);
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
