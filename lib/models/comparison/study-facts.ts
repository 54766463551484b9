import { ownValue } from "../../errors/index.js";
import { inWords, settingDigits } from "../../numeric/index.js";
import type { Factor, Quantity, Response, StudyDefinition } from "../../study/index.js";
import { convert, sameDimension, withUnit } from "../../units/index.js";

/** Something two studies have set up, in words, in the unit of the first. */
export interface StudyFact {
  readonly what: string;
  /** `-` where a study does not say. */
  readonly a: string;
  readonly b: string;
  readonly same: boolean;
}

type Told = string | Quantity | undefined;

/** How two studies are set up, side by side: process, wire, base, gas, rig, settings, results, blocks. */
export function studyFacts(a: StudyDefinition, b: StudyDefinition): readonly StudyFact[] {
  const rigNames = union(Object.keys(a.rig?.settings ?? {}), Object.keys(b.rig?.settings ?? {}));
  const factors = union(
    a.factors.map(({ name }) => name),
    b.factors.map(({ name }) => name),
  );
  const responses = union(
    a.responses.map(({ name }) => name),
    b.responses.map(({ name }) => name),
  );
  return [
    fact("process", a.process, b.process),
    fact("wire", a.wire?.classification, b.wire?.classification),
    fact("wire diameter", a.wire?.diameter, b.wire?.diameter),
    fact("base material", a.base?.material, b.base?.material),
    fact("base thickness", a.base?.thickness, b.base?.thickness),
    fact("base diameter", a.base?.diameter, b.base?.diameter),
    fact("gas", a.gas?.code, b.gas?.code),
    fact("gas flow", a.gas?.flow, b.gas?.flow),
    fact("rig", a.rig?.name, b.rig?.name),
    ...rigNames
      .filter((name) => !factors.includes(name))
      .map((name) => fact(inWords(name), ownValue(a.rig?.settings, name), ownValue(b.rig?.settings, name))),
    ...factors.map((name) => factorFact(name, a, b)),
    ...responses.map((name) => {
      const [one, other] = [a, b].map(({ responses: list }) => list.find((r) => r.name === name));
      return fact(inWords(name), wantedText(one), wantedText(other, one?.unit));
    }),
    fact("blocks", a.blocks.join(", ") || undefined, b.blocks.join(", ") || undefined),
  ].filter(({ a: one, b: other }) => one !== "-" || other !== "-");
}

const union = (one: readonly string[], other: readonly string[]): readonly string[] => [
  ...new Set([...one, ...other]),
];

function fact(what: string, a: Told, b: Told): StudyFact {
  const [one, other] = [told(a), told(b, typeof a === "object" ? a.unit : undefined)];
  return { what, a: one, b: other, same: one === other };
}

function told(value: Told, like?: string): string {
  if (value === undefined) return "-";
  if (typeof value === "string") return value;
  const unit = like !== undefined && sameDimension(value.unit, like) ? like : value.unit;
  return withUnit(settingDigits(convert(value.value, value.unit, unit)), unit);
}

/** A setting as each study has it: varied over a range, held at a value, or not told. */
function factorFact(name: string, a: StudyDefinition, b: StudyDefinition): StudyFact {
  const unit = a.factors.find((factor) => factor.name === name)?.unit;
  const of = ({ factors, rig }: StudyDefinition): string => {
    const factor = factors.find((one) => one.name === name);
    const held = ownValue(rig?.settings, name);
    return factor === undefined ? (held === undefined ? "-" : told(held, unit)) : rangeOf(factor, unit);
  };
  const [one, other] = [of(a), of(b)];
  return { what: inWords(name), a: one, b: other, same: one === other };
}

function rangeOf({ kind, levels = [], low, high, unit }: Factor, like = unit): string {
  if (kind === "category") return levels.join(", ");
  const shown = sameDimension(unit, like) ? like : unit;
  const end = (value: number): string => settingDigits(convert(value, unit, shown));
  return withUnit(`${end(low)} to ${end(high)}`, shown);
}

/** What is wanted of a result. */
function wantedText(response: Response | undefined, like?: string): string | undefined {
  if (response === undefined) return undefined;
  const { kind, unit, spec = {} } = response;
  const shown = like !== undefined && sameDimension(unit, like) ? like : unit;
  const end = (value: number): string => settingDigits(convert(value, unit, shown));
  const { lower, upper } = spec;
  if (kind === "passFail") return "passed";
  if (lower === undefined && upper === undefined) return withUnit("nothing asked", shown);
  if (upper === undefined) return withUnit(`at least ${end(lower!)}`, shown);
  if (lower === undefined) return withUnit(`at most ${end(upper)}`, shown);
  return withUnit(`${end(lower)} to ${end(upper)}`, shown);
}
