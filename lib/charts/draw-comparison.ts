import type { GroupComparison, ResponseShift, StudyComparison } from "../models/index.js";
import { inWords, sentence } from "../numeric/index.js";
import { type ComparisonPanel, chartComparison } from "./comparison.js";
import { axisTitle, type ChartSpec, levelText } from "./spec.js";

/**
 * How each result differs between two groups at equal settings, over the differences that do no harm. Undefined where no
 * result with numbers could be compared.
 */
export function drawGroupComparison(comparison: GroupComparison): ChartSpec | undefined {
  const { what, a, b, level, shifts } = comparison;
  if (shifts.length === 0) return undefined;
  const title = `${b} less ${a}`;
  return chartComparison({
    title: what === "study" ? title : `${inWords(what)}: ${title}`,
    subtitle: [
      `At equal settings. Whiskers hold together at ${levelText(level)}. Green: does no harm to what is wanted.`,
      "Circle: a difference is there. Square: none is told.",
    ],
    description: `Differences of ${b} from ${a} at equal settings: ${shifts.map(shiftWords).join("; ")}.`,
    panels: shifts.map(shiftPanel),
  });
}

/** Differences of results between two studies, and what settings do in each. Undefined where nothing could be compared. */
export function drawStudyComparison(comparison: StudyComparison): ChartSpec | undefined {
  const { a, b, level, results, effects } = comparison;
  const panels = [...(results?.shifts ?? []).map(shiftPanel), ...effectPanels(comparison)];
  if (panels.length === 0) return undefined;
  return chartComparison({
    title: `${b} and ${a}`,
    subtitle: [
      ...((results?.shifts ?? []).length === 0
        ? []
        : [`Results: ${b} less ${a} at equal settings. Green: does no harm to what is wanted.`]),
      `Whiskers: ${levelText(level)}. Circle: a difference is there. Square: none is told.`,
    ],
    description: `Comparison of ${b} with ${a}: ${[
      ...(results?.shifts ?? []).map(shiftWords),
      ...effects.map(
        ({ response, setting, differs }) =>
          `${inWords(response)} ${differs ? "answers differently" : "answers alike as far as told"} to ${inWords(setting)}`,
      ),
    ].join("; ")}.`,
    panels,
  });
}

const shiftDiffers = ({ lower, upper }: ResponseShift): boolean => lower > 0 || upper < 0;

const shiftWords = (shift: ResponseShift): string =>
  `${inWords(shift.response)} ${shiftDiffers(shift) ? "differs" : "is not told apart"}`;

function shiftPanel(shift: ResponseShift): ComparisonPanel {
  const { response, unit, difference, lower, upper, specification } = shift;
  const { lower: low, upper: high } = specification?.tolerated ?? {};
  return {
    axis: axisTitle({ name: `difference of ${response}`, unit }),
    zero: true,
    ...(specification === undefined
      ? {}
      : { band: { ...(low === undefined ? {} : { low }), ...(high === undefined ? {} : { high }) } }),
    rows: [
      {
        name: inWords(response),
        estimate: difference,
        low: lower,
        high: upper,
        differs: shiftDiffers(shift),
      },
    ],
  };
}

/** One panel per response: what 1 % more of a setting does, in per cent, as each study says. */
function effectPanels({ a, b, effects }: StudyComparison): readonly ComparisonPanel[] {
  const responses = [...new Set(effects.map(({ response }) => response))];
  return responses.map((response) => ({
    axis: `${sentence(inWords(response))}: change for 1 % more of a setting (%)`,
    zero: true,
    rows: effects
      .filter((effect) => effect.response === response)
      .flatMap(({ setting, differs, a: one, b: other }) =>
        [
          { name: `${inWords(setting)}, ${a}`, ...one },
          { name: `${inWords(setting)}, ${b}`, ...other },
        ].map(({ name, estimate, lower, upper }) => ({ name, estimate, low: lower, high: upper, differs })),
      ),
  }));
}
