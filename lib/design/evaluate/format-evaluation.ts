import type { ComparedMeasure } from "./compare-plans.js";
import type { PlanEvaluation } from "./evaluation.js";

/** Columns aligned by spaces: the first to the left, the others to the right. */
function alignColumns(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, j) => Math.max(...rows.map((row) => row[j]!.length)));
  return rows
    .map((row) =>
      row.map((cell, j) => (j === 0 ? cell.padEnd(widths[j]!) : cell.padStart(widths[j]!))).join("  "),
    )
    .map((line) => `  ${line.trimEnd()}`)
    .join("\n");
}

const number = (value: number | undefined): string =>
  value === undefined ? "-" : Number(value.toPrecision(3)).toString();
const percent = (value: number | undefined): string =>
  value === undefined ? "-" : `${Math.round(100 * value)} %`;

/** Most coupons and leaks listed in the text. */
const LISTED = 10;

/** An evaluation as plain text: terms, predictions, what coupons carry, findings. */
export function formatPlanEvaluation(evaluation: PlanEvaluation): string {
  const { terms, prediction, coupons, leaks, findings } = evaluation;
  const carrying = [...coupons].sort((a, b) => b.leverage - a.leverage).slice(0, LISTED);
  const sections = [
    headline(evaluation),
    `Effects (chance to detect a change of ${evaluation.change} at a scatter of ${evaluation.sd}, confidence ${evaluation.level}):\n${alignColumns(
      [
        ["term", "chance", "standard error", "df", "inflation"],
        ...terms.map((term) => [
          term.name,
          percent(term.power),
          number(term.standardError),
          String(term.degreesOfFreedom),
          number(term.inflation),
        ]),
      ],
    )}`,
    `Standard error of predictions: ${number(prediction.mean)} on average, ${number(prediction.max)} at worst\n${alignColumns(
      [
        ["share of the region", ...prediction.shares.map(({ share }) => percent(share))],
        ["error at most", ...prediction.shares.map(({ standardError }) => number(standardError))],
      ],
    )}`,
    `Coupons that carry most:\n${alignColumns([
      ["coupon", "leverage", "information left without it", "prediction error grows to"],
      ...carrying.map((coupon) => [
        String(coupon.number),
        number(coupon.leverage),
        percent(coupon.informationWithout),
        percent(coupon.predictionWithout),
      ]),
    ])}`,
    ...(leaks.length === 0
      ? []
      : [
          `Terms left out of the model would leak:\n${alignColumns([
            ["from", "into", "share"],
            ...leaks.slice(0, LISTED).map(({ from, into, share }) => [from, into, share.toFixed(2)]),
          ])}`,
        ]),
    ...(findings.length === 0
      ? []
      : [
          findings
            .map(
              ({ severity, message, advice }) =>
                `${severity}: ${message}${advice === undefined ? "" : `; ${advice}`}`,
            )
            .join("\n"),
        ]),
  ];
  return `${sections.join("\n\n")}\n`;
}

function headline(evaluation: PlanEvaluation): string {
  const { runs, existing, rank, parameters, wholePlots, efficiency } = evaluation;
  const groups = wholePlots === undefined ? "" : ` in ${wholePlots} groups of hard-to-change settings`;
  return [
    `${runs} coupons${existing === 0 ? "" : ` and ${existing} already run`}${groups}`,
    `${rank} of ${parameters} model terms can be estimated; ${evaluation.residualDegreesOfFreedom} degrees of freedom for scatter, ${evaluation.pureErrorDegreesOfFreedom} of repeats`,
    `efficiency per coupon: D ${number(efficiency.D)}, A ${number(efficiency.A)}, G ${number(efficiency.G)}`,
  ].join("\n");
}

/** Two plans side by side as plain text; a star marks the better figure. */
export function formatPlanComparison(
  measures: readonly ComparedMeasure[],
  names: readonly [string, string] = ["first", "second"],
): string {
  const star = ({ first, second, better }: ComparedMeasure, own: "first" | "second"): string => {
    if (better === undefined || first === second) return "";
    const firstWins =
      second === undefined || (first !== undefined && (better === "more" ? first > second : first < second));
    return (own === "first") === firstWins ? "*" : "";
  };
  return `${alignColumns([
    ["", ...names],
    ...measures.map((m) => [
      m.measure,
      `${number(m.first)}${star(m, "first").padEnd(1)}`,
      `${number(m.second)}${star(m, "second").padEnd(1)}`,
    ]),
  ])}\n`;
}
