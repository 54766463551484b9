import { type ChartSpec, chartComparison, printedAxis } from "../charts/index.js";
import { onlyDefined } from "../errors/index.js";
import type { PresetComparison } from "./compare-presets.js";

/** What two presets foretell, over what is wanted, and their chances to conform. */
export function drawPresetComparison({ a, b, predicted, chance, under }: PresetComparison): ChartSpec {
  const percentOf = ({ value, lower, upper }: PresetComparison["chance"]["a"]) => ({
    estimate: 100 * value,
    low: 100 * lower,
    high: 100 * upper,
  });
  return chartComparison({
    title: `Presets: ${a} and ${b}`,
    subtitle: [
      under === "study" ? "Both judged by the coupons of one study." : "Each as it judged itself.",
      "Whiskers: 95 % of single coupons, and 90 % of what is open of the chance. Green: wanted.",
      "Circle: they differ. Square: not told apart.",
    ],
    description: `What the presets ${a} and ${b} foretell: ${[
      ...predicted.map(({ response, differs }) => `${response} ${differs ? "differs" : "is not told apart"}`),
      `the chance to conform ${chance.differs ? "differs" : "is not told apart"}`,
    ].join("; ")}.`,
    panels: [
      ...predicted.map(({ response, unit, wanted, differs, ...pair }) => ({
        axis: printedAxis({ name: response, unit }),
        ...(wanted === undefined ? {} : { band: onlyDefined({ low: wanted.lower, high: wanted.upper }) }),
        rows: [
          { name: a, ...pair.a },
          { name: b, ...pair.b },
        ].map(({ name, median, lower, upper }) => ({
          name,
          estimate: median,
          low: lower,
          high: upper,
          differs,
        })),
      })),
      {
        axis: "Chance to conform (%)",
        rows: [
          { name: a, ...percentOf(chance.a), differs: chance.differs },
          { name: b, ...percentOf(chance.b), differs: chance.differs },
        ],
      },
    ],
  });
}
