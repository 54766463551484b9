import { refusalOf } from "../../errors/index.js";
import { tCdf, tQuantile } from "../../numeric/index.js";
import type { StudyData } from "../../study/index.js";
import { fitPowerLaw, type PowerLawFit, responseData, withPowerLawRows } from "../bead/index.js";

/** An exponent of one study, with its 95 % interval. */
export interface StudyEffect {
  readonly estimate: number;
  readonly standardError: number;
  readonly lower: number;
  readonly upper: number;
}

/** What one setting does to one response in two studies, as exponents: 10 % more of it gives 1.1^exponent. Plain data. */
export interface EffectComparison {
  readonly response: string;
  readonly setting: string;
  readonly a: StudyEffect;
  readonly b: StudyEffect;
  /** Second less first, with its interval. */
  readonly difference: number;
  readonly lower: number;
  readonly upper: number;
  readonly df: number;
  /** Chance of so large a difference without a cause, allowing for all effects compared. */
  readonly p: number;
  readonly differs: boolean;
}

/** The effects of two studies, and what could not be compared. */
export interface EffectsCompared {
  readonly effects: readonly EffectComparison[];
  readonly left: readonly { readonly response: string; readonly reason: string }[];
}

/**
 * Compares what settings do in two studies: a power law fitted to each by itself, each with its own scatter, and the difference
 * of every exponent of a setting that both varied by Welch's t. Effects are told from changes, so studies that no coupon
 * stands side by side in may still be compared by them.
 *
 * @source degrees of freedom of a difference: F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110
 */
export function compareEffects(
  a: StudyData,
  b: StudyData,
  { names, level }: { readonly names: readonly [string, string]; readonly level: number },
): EffectsCompared {
  const left: { readonly response: string; readonly reason: string }[] = [];
  const raw = a.definition.responses.flatMap(({ name, kind }) => {
    const twin = b.definition.responses.find((response) => response.name === name);
    if (kind !== "measured" || twin?.kind !== "measured") return [];
    const laws: PowerLawFit[] = [];
    for (const [i, study] of [a, b].entries()) {
      const refusal = refusalOf(() => laws.push(lawOf(study, name)));
      if (refusal === undefined) continue;
      left.push({ response: name, reason: `${names[i]}: ${refusal.message.replace(`${name}: `, "")}` });
      return [];
    }
    return differences(name, laws[0]!, laws[1]!);
  });
  const each = 1 - (1 - level) / Math.max(1, raw.length);
  return {
    effects: raw.map((effect): EffectComparison => {
      const { difference, df, a: one, b: other } = effect;
      const error = Math.hypot(one.standardError, other.standardError);
      const reach = tQuantile((1 + each) / 2, df) * error;
      const [lower, upper] = [difference - reach, difference + reach];
      return {
        ...effect,
        lower,
        upper,
        p: Math.min(1, raw.length * 2 * tCdf(-Math.abs(difference / error), df)),
        differs: lower > 0 || upper < 0,
      };
    }),
    left,
  };
}

function lawOf(study: StudyData, response: string): PowerLawFit {
  const data = responseData(study, response);
  return fitPowerLaw(withPowerLawRows(study.definition, data), "proportional");
}

function differences(
  response: string,
  one: PowerLawFit,
  other: PowerLawFit,
): readonly Omit<EffectComparison, "lower" | "upper" | "p" | "differs">[] {
  return one.coefficients.flatMap(({ term, ...first }) => {
    const second = other.coefficients.find((coefficient) => coefficient.term === term);
    if (second === undefined || !(first.standardError > 0) || !(second.standardError > 0)) return [];
    const parts = [
      { variance: first.standardError ** 2, df: freedom(one, term) },
      { variance: second.standardError ** 2, df: freedom(other, term) },
    ];
    const total = parts.reduce((sum, { variance }) => sum + variance, 0);
    return [
      {
        response,
        setting: term,
        a: effectOf(first),
        b: effectOf(second),
        difference: second.estimate - first.estimate,
        df: total ** 2 / parts.reduce((sum, { variance, df }) => sum + variance ** 2 / df, 0),
      },
    ];
  });
}

const effectOf = ({ estimate, standardError, lower, upper }: StudyEffect): StudyEffect => ({
  estimate,
  standardError,
  lower,
  upper,
});

/** Degrees of freedom behind an exponent: fewer where it moves between blocks. */
function freedom({ random, df }: PowerLawFit, term: string): number {
  const at = random?.parameters.indexOf(term) ?? -1;
  return at < 0 ? df : random!.df[at]!;
}
