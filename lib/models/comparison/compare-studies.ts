import { type Finding, onlyDefined } from "../../errors/index.js";
import { inWords } from "../../numeric/index.js";
import type { StudyData } from "../../study/index.js";
import { outcomeData } from "../outcome-data.js";
import { type ComparisonOptions, compareGroups, type GroupComparison } from "./compare-groups.js";
import { joinStudies } from "./joined-study.js";
import { compareEffects, type EffectComparison } from "./study-effects.js";
import { type StudyFact, studyFacts } from "./study-facts.js";

/** Two studies held against each other. Plain data. */
export interface StudyComparison {
  readonly kind: "studies";
  readonly a: string;
  readonly b: string;
  /** Logged coupons of each. */
  readonly coupons: readonly [a: number, b: number];
  readonly level: number;
  /** How each is set up, in the units of the first. */
  readonly facts: readonly StudyFact[];
  /** Why results cannot be told at equal settings; empty where they can. */
  readonly refused: readonly string[];
  /** Results at equal settings; absent where refused. */
  readonly results?: GroupComparison;
  /** What settings do, as exponents of power laws; empty for other processes. */
  readonly effects: readonly EffectComparison[];
  readonly left: readonly { readonly response: string; readonly reason: string }[];
  readonly findings: readonly Finding[];
}

/**
 * Holds two studies against each other: how they are set up; what came out at equal settings, judged by the first study's
 * specification ({@link compareGroups} with the study as the group and its days as blocks); and what settings do, as exponents of
 * a power law of each study. What cannot be compared is refused with the reason, and the rest is told all the same. A study
 * held against itself shows no difference.
 *
 * @param options.names - to tell the two apart. Default their names in study.json
 */
export function compareStudies(
  a: StudyData,
  b: StudyData,
  options: Pick<ComparisonOptions, "level" | "layers"> & { readonly names?: readonly [string, string] } = {},
): StudyComparison {
  const { level = 0.95, names = [a.definition.name, b.definition.name] } = options;
  const parts = [a, b].map((study) => {
    const { coupons, findings, layers } = outcomeData(study, onlyDefined({ layers: options.layers }));
    return { study: { definition: study.definition, coupons }, findings, layers };
  });
  const [one, other] = parts as [(typeof parts)[number], (typeof parts)[number]];
  const join = joinStudies(one.study, other.study, names);
  const otherLayers =
    one.layers === other.layers || one.study.coupons.length * other.study.coupons.length === 0
      ? []
      : [
          `${names[0]} has coupons on ${layerWords[one.layers]}, ${names[1]} on ${layerWords[other.layers]}: they follow different laws`,
        ];
  const refused = [...join.refused, ...otherLayers];
  const results =
    refused.length > 0 || join.joined === undefined
      ? undefined
      : compareGroups(join.joined.study, join.joined.groups, { level });
  const sameProcess = one.study.definition.process === other.study.definition.process;
  const { effects, left } =
    sameProcess && otherLayers.length === 0
      ? compareEffects(one.study, other.study, { names, level })
      : { effects: [], left: [] };
  const facts = studyFacts(a.definition, b.definition);
  return {
    kind: "studies",
    a: results?.a ?? names[0],
    b: results?.b ?? names[1],
    coupons: [one.study.coupons.length, other.study.coupons.length],
    level,
    facts,
    refused,
    ...(results === undefined ? {} : { results }),
    effects,
    left: [...join.left, ...left],
    findings: [
      ...one.findings,
      ...other.findings,
      ...sameCoupons(one.study, other.study),
      ...bendFindings(effects, results),
    ],
  };
}

const layerWords = { first: "first layers", wall: "walls" } as const;

/** Said of a study that is held against itself, or a copy. */
function sameCoupons(one: StudyData, other: StudyData): readonly Finding[] {
  if (one.coupons.length === 0 || JSON.stringify(one.coupons) !== JSON.stringify(other.coupons)) return [];
  return [
    {
      code: "same-coupons",
      severity: "warning",
      message:
        "both hold the very same coupons: this compares a study with itself, which says nothing of two",
    },
  ];
}

/** Where settings do not do the same in both, a difference at equal settings is one of the middle alone. */
function bendFindings(
  effects: readonly EffectComparison[],
  results: GroupComparison | undefined,
): readonly Finding[] {
  const shown = new Set(results?.shifts.map(({ response }) => response));
  const bent = effects.filter(({ differs, response }) => differs && shown.has(response));
  return [...new Set(bent.map(({ response }) => response))].map((response) => ({
    code: "effects-differ",
    severity: "warning" as const,
    message: `${inWords(response)} does not answer alike in both to ${bent
      .filter((one) => one.response === response)
      .map(({ setting }) => inWords(setting))
      .join(", ")}: the difference told is one of the middle of the settings, and another elsewhere`,
    about: [response],
  }));
}
