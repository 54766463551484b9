import { ownValue } from "../errors/index.js";
import { errorText, type ResponseFit, type StudyFit } from "../models/index.js";
import { inWords, percent } from "../numeric/index.js";
import type { StudyData } from "../study/index.js";
import { type Foretold, settlesText, wantedSizes } from "./settles-text.js";
import { wrap } from "./text.js";

/** What a fit says of each response, in plain words. */
export function plainResponses({ definition, coupons }: StudyData, fit: StudyFit): string {
  const wanted = wantedSizes(definition);
  const left = new Set([...fit.without, ...fit.aside]);
  const run = coupons.filter(({ id, state }) => state === "logged" && !left.has(id));
  const levels = definition.factors.flatMap(({ name, kind }): readonly Level[] => {
    if (kind !== "category") return [];
    const tried = [...new Set(run.map(({ settings }) => ownValue(settings, name)))].map(String).sort();
    return tried.map((level) => ({ term: `${name} = ${level}`, name, level }));
  });
  const said = fit.responses.map((response) => {
    const asked = wanted.find((one) => one.response === response.response);
    const lead =
      asked === undefined ? foretoldText(response) : settlesText(asked, foretold(response, asked.aim));
    const effects = effectsText(response, fit, levels);
    return `${wrap(lead, "  ")}\n${effects === "" ? "" : `  ${wrap(effects, "  ")}\n`}`;
  });
  return said.join("");
}

/** Error at settings not tried and scatter of a response, in its unit; relative ones hold at `at`. */
export function foretold(
  { response, foreseenBy, together, forms, candidates, chosen }: ResponseFit,
  at: number,
): Foretold {
  const form = candidates.find((candidate) => candidate.form === chosen)!;
  const quality = foreseenBy === "together" ? together! : form;
  const size = form.errorUnit === "1" ? at : 1;
  const scatter = form.scatter ?? forms[0]!.scatter;
  return { response, error: size * (quality.leftOutError ?? scatter), scatter: size * scatter };
}

function foretoldText(fit: ResponseFit): string {
  const { error } = foretold(fit, 1);
  const unit = fit.candidates.find(({ form }) => form === fit.chosen)!.errorUnit!;
  return `${fit.response}: a bead at a setting not tried is foretold with an error of ${errorText(error, unit)}.`;
}

/** A level of a category that was run, and the term it has in a form; the level that others are held against has none. */
interface Level {
  readonly term: string;
  readonly name: string;
  readonly level: string;
}

/** What ten per cent more of each setting do, and another level of a category, where the form has exponents. */
function effectsText(
  { response, chosen, forms }: ResponseFit,
  { constrained }: StudyFit,
  levels: readonly Level[],
): string {
  const form = forms.find((one) => one.form === chosen);
  const joint = constrained.find(({ width }) => width.response === response);
  const exponents =
    (chosen === "constrained" ? joint?.exponents : form?.form === "power-law" ? form.coefficients : []) ?? [];
  const clear = exponents.filter(({ lower, upper }) => lower > 0 || upper < 0);
  const levelOf = (term: string): Level | undefined => levels.find((one) => one.term === term);
  const numbers = clear
    .filter(({ term }) => levelOf(term) === undefined)
    .map(({ term, estimate }) => `${inWords(term)} ${changeText(1.1 ** estimate - 1)}`);
  const swaps = clear.flatMap(({ term, estimate }) => {
    const other = levelOf(term);
    if (other === undefined) return [];
    const usual = levels.find(
      (one) => one.name === other.name && exponents.every((exponent) => exponent.term !== one.term),
    );
    const instead = usual === undefined ? "" : ` instead of ${usual.level}`;
    // A level is switched on, not raised by a share: its coefficient is the logarithm of what it multiplies.
    return [`${inWords(other.name)} ${other.level}${instead} ${changeText(Math.exp(estimate) - 1)}`];
  });
  return [
    ...(numbers.length === 0 ? [] : [`10 % more of a setting gives, others held: ${numbers.join(", ")}.`]),
    ...(swaps.length === 0 ? [] : [`Changed alone: ${swaps.join(", ")}.`]),
  ].join(" ");
}

const changeText = (change: number): string =>
  `${percent(Math.abs(change), 1)} ${change > 0 ? "more" : "less"}`;
