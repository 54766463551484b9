import { BeadbenchError, errorFromIssues, type Finding, type Issue, ownValue } from "../../errors/index.js";
import { significant } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../../study/definition/index.js";
import type { DefinedStudy } from "../../study/record/index.js";
import { suggestion } from "../../study/shape/index.js";
import { handbookPriors, priorFault, requirePrior, rigPhysics, studyPrior } from "../physical/index.js";
import { type PriorName, type Priors, priors, usualPriors } from "./priors.js";

/** Values that stand in the place of usual priors, each in the prior's own unit. */
export type PriorValues = Partial<Priors>;

/** The priors of one study, and the word on those that are not the usual ones. */
export interface ResolvedPriors {
  readonly values: Priors;
  readonly findings: readonly Finding[];
}

const known: readonly string[] = [...Object.keys(priors), ...Object.keys(handbookPriors)];

/** The name that was likely meant, or every name there is. */
const knownInstead = (name: string): string => suggestion(name, known) || `; known are ${known.join(", ")}`;

const isPrior = (name: string): name is PriorName => Object.hasOwn(priors, name);

/**
 * The usual priors, with what study.json says under `priors` in their place, and what the caller says in the place
 * of both.
 *
 * @throws {BeadbenchError} `bad-study` for names or values of study.json that cannot be, all of them listed;
 *   `bad-argument` for those of the caller
 */
export function resolvePriors({ definition }: DefinedStudy, own: PriorValues = {}): ResolvedPriors {
  const stated = statedPriors(definition);
  for (const [name, value] of Object.entries(own)) {
    if (!isPrior(name)) {
      throw new BeadbenchError("bad-argument", `there is no prior "${name}"${knownInstead(name)}`);
    }
    requirePrior(`prior ${name}`, value, priors[name]);
  }
  const changed = { ...stated, ...own };
  const words = [
    ...Object.entries(changed).map(([name, value]) => {
      const { value: usual, unit } = priors[name as PriorName];
      return wordOf({ name, value, usual, unit });
    }),
    ...handbookWords(definition),
  ];
  return {
    values: { ...usualPriors, ...changed },
    findings: words.length === 0 ? [] : [priorsChanged(words)],
  };
}

/** The priors that study.json states, in their own units. */
function statedPriors(definition: StudyDefinition): PriorValues {
  const issues: Issue[] = [];
  const values: Partial<Record<PriorName, number>> = {};
  for (const name of Object.keys(definition.priors ?? {})) {
    if (!known.includes(name)) {
      issues.push({
        file: "study.json",
        column: `priors.${name}`,
        message: `is no prior${knownInstead(name)}`,
      });
      continue;
    }
    const kind = isPrior(name) ? priors[name] : handbookPriors[name as keyof typeof handbookPriors];
    const fault = priorFault(definition, name, kind);
    if (fault !== undefined) issues.push(fault);
    else if (isPrior(name)) values[name] = studyPrior(definition, name, kind)!;
  }
  if (issues.length > 0) throw errorFromIssues("bad-study", "priors of the study cannot be used:", issues);
  return values;
}

/** A word on each handbook value that the study replaces. */
function handbookWords(definition: StudyDefinition): readonly string[] {
  const { priors: _, ...silent } = definition;
  const [usual, now] = [rigPhysics({ definition: silent }), rigPhysics({ definition })];
  const pairs = {
    deposition_efficiency: [now.depositionEfficiency, usual.depositionEfficiency],
    wire_enthalpy: [now.wireEnthalpy, usual.wireEnthalpy],
    wire_density: [now.wireDensity, usual.wireDensity],
  } as const satisfies Readonly<Record<keyof typeof handbookPriors, unknown>>;
  return Object.entries(pairs).flatMap(([name, [own, published]]) =>
    ownValue(definition.priors, name) === undefined
      ? []
      : [wordOf({ name, value: own.value, usual: published.value, unit: own.unit })],
  );
}

function wordOf({
  name,
  value,
  usual,
  unit,
}: {
  readonly name: string;
  readonly value: number;
  readonly usual: number;
  readonly unit: string;
}): string {
  const [now, before] = [significant(value), significant(usual)];
  return unit === "1"
    ? `${name} ${now} (usual ${before})`
    : `${name} ${now} ${unit} (usual ${before} ${unit})`;
}

function priorsChanged(words: readonly string[]): Finding {
  return {
    code: "priors-changed",
    severity: "info",
    message: `what is believed before any coupon was changed for this study: ${words.join(", ")}`,
    advice:
      "the fewer the coupons, the more rests on these numbers; take them out to go back to the usual ones",
    about: words.map((word) => word.split(" ")[0]!),
  };
}
