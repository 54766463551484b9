import { type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { mean, quantile, randomStream, rounds, significant, tCdf } from "../../numeric/index.js";
import { type AnovaRow, type GaugeAnova, type GaugeReading, gaugeAnova } from "./gauge-anova.js";

/** An estimate with its limits. */
export interface Between {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** One source of scatter among readings. */
export interface GaugeComponent {
  /** Gauge is repeatability and reproducibility together; total is gauge and parts. */
  readonly name: "repeatability" | "reproducibility" | "gauge" | "parts" | "total";
  readonly variance: number;
  /** Standard deviation, in the unit of the readings. */
  readonly sd: Between;
  /** Share of the total variance. */
  readonly share: Between;
}

/** What a gauge study says. */
export interface GaugeStudy extends Omit<GaugeAnova, "cells" | "repeats"> {
  readonly readings: number;
  /** Coverage of every interval. */
  readonly level: number;
  readonly components: readonly GaugeComponent[];
  /** Groups of parts the gauge can tell apart. */
  readonly categories: Between;
  /** Smallest difference between any two readings: the step in which the gauge is read, at most. */
  readonly step: number;
  /** What belongs into study.json as `gaugeSd`: of one reading, by whoever takes it; 3 digits. */
  readonly gaugeSd: number;
  readonly findings: readonly Finding[];
}

/** Draws for the intervals. */
const DRAWS = 4000;

/** Fewest distinct categories with which a gauge is of use for tuning (common practice). */
const FEWEST_CATEGORIES = 5;

/**
 * Repeatability and reproducibility of a gauge: how much of the scatter among readings is the gauge and the hand that
 * holds it, and how much the parts.
 *
 * Components come from the mean squares; one that would be negative is 0. Intervals are generalised confidence intervals
 * (each mean square over a chi-square draw), simulated, the same every time.
 *
 * @param options.level - coverage of the intervals. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for fewer than two parts or two readings of each, cells of unequal size, or
 *   repeats that all agree
 * @source components: Montgomery and Runger, Quality Engineering 6 (1993) 289; intervals: Hamada and Weerahandi, Journal
 *   of Quality Technology 32 (2000) 241 (both from memory)
 */
export function gaugeStudy(
  readings: readonly GaugeReading[],
  options: { readonly level?: number } = {},
): GaugeStudy {
  const level = requireNumber("level", options.level ?? 0.95, { above: 0, below: 1 });
  const anova = gaugeAnova(readings);
  const scatter = anova.rows.at(-1)!;
  requireThat(
    scatter.ss > 1e-20 * anova.rows[0]!.ss && scatter.ss > 0,
    "the repeats of every part agree to the last digit, so they tell no scatter: read the gauge to another digit, or take its step over 3.5 as gaugeSd",
  );
  const drawn = draw(anova);
  const found = componentsOf(anova, (row) => row.ms);
  const components = names.map((name): GaugeComponent => {
    const between = (of: (part: Parts) => number): Between => limits(of(found), drawn.map(of), level);
    return {
      name,
      variance: found[name],
      sd: between((part) => Math.sqrt(part[name])),
      share: between((part) => (part.total === 0 ? 0 : part[name] / part.total)),
    };
  });
  const apart = ({ parts, gauge }: Parts): number => Math.floor(Math.SQRT2 * Math.sqrt(parts / gauge));
  const step = stepOf(readings);
  const { cells, repeats: _, ...table } = anova;
  const categories = limits(apart(found), drawn.map(apart), level);
  return {
    ...table,
    readings: readings.length,
    level,
    components,
    categories,
    step,
    gaugeSd: rounds(Math.max(Math.sqrt(found.gauge), step / Math.sqrt(12)), 3),
    findings: [
      ...oddCells(cells, scatter),
      ...stepFinding(step, Math.sqrt(scatter.ms)),
      ...sizeFindings(anova, categories),
    ],
  };
}

const names = ["repeatability", "reproducibility", "gauge", "parts", "total"] as const;
type Parts = Readonly<Record<(typeof names)[number], number>>;

/** Variance components of mean squares, observed or drawn. */
function componentsOf(
  { rows, parts: p, operators: o, repeats: r }: GaugeAnova,
  ms: (row: AnovaRow) => number,
): Parts {
  const of = (source: AnovaRow["source"]): number | undefined => {
    const row = rows.find((one) => one.source === source);
    return row === undefined ? undefined : ms(row);
  };
  const repeatability = of("repeats")!;
  const interaction = of("parts x operators");
  const below = interaction ?? repeatability;
  const operators = of("operators");
  const reproducibility =
    (operators === undefined ? 0 : Math.max(0, (operators - below) / (p * r))) +
    (interaction === undefined ? 0 : Math.max(0, (interaction - repeatability) / r));
  const parts = Math.max(0, (of("parts")! - below) / (o * r));
  const gauge = repeatability + reproducibility;
  return { repeatability, reproducibility, gauge, parts, total: gauge + parts };
}

/** Components that the readings leave possible: each mean square over a chi-square draw of its own. */
function draw(anova: GaugeAnova): readonly Parts[] {
  const stream = randomStream(20);
  return Array.from({ length: DRAWS }, () => {
    const drawn = new Map(
      anova.rows.map((row) => {
        let chiSquare = 0;
        for (let i = 0; i < row.df; i++) chiSquare += stream.normal() ** 2;
        return [row.source, row.ss / chiSquare] as const;
      }),
    );
    return componentsOf(anova, ({ source }) => drawn.get(source)!);
  });
}

const limits = (estimate: number, drawn: readonly number[], level: number): Between => ({
  estimate,
  lower: quantile(drawn, (1 - level) / 2),
  upper: quantile(drawn, (1 + level) / 2),
});

/** Smallest difference between two readings that differ. */
function stepOf(readings: readonly GaugeReading[]): number {
  const sorted = [...new Set(readings.map(({ value }) => rounds(value)))].sort((a, b) => a - b);
  return sorted.slice(1).reduce((least, value, i) => Math.min(least, rounds(value - sorted[i]!)), Infinity);
}

/** Chance below which a reading is named, over all readings of the study. */
const ODD_CHANCE = 0.01;

/** Cells with a reading further from the others than the scatter of the rest explains, each reading held against the rest. */
function oddCells(cells: GaugeAnova["cells"], { df, ms }: AnovaRow): readonly Finding[] {
  const count = cells.reduce((sum, { values }) => sum + values.length, 0);
  if (df < 4) return [];
  return cells.flatMap(({ part, operator, values }) => {
    const leverage = 1 - 1 / values.length;
    const odd = values.some((value) => {
      if (values.length < 2) return false;
      const t2 = Math.min((value - mean(values)) ** 2 / (ms * leverage), df * (1 - 1e-12));
      const t = Math.sqrt((t2 * (df - 1)) / (df - t2));
      return 2 * (1 - tCdf(t, df - 1)) * count < ODD_CHANCE;
    });
    if (!odd) return [];
    const by = operator === "" ? "" : ` by ${operator}`;
    return [
      {
        code: "gauge-reading-odd",
        severity: "warning" as const,
        message: `part ${part}${by} was read as ${values.map((value) => significant(value, 4)).join(", ")}, further apart than the other repeats explain`,
        advice:
          "look for a slip of the pen, and read that part again; one such reading can double the gauge's scatter",
        about: [part],
      },
    ];
  });
}

function stepFinding(step: number, repeatability: number): readonly Finding[] {
  if (step <= 2 * repeatability) return [];
  return [
    {
      code: "gauge-coarse",
      severity: "warning",
      message: `readings come in steps of ${significant(step)}, more than twice their scatter of ${significant(repeatability, 2)}: the step hides the gauge's scatter`,
      advice: "read between the marks, or take a finer gauge",
    },
  ];
}

function sizeFindings({ rows, operators }: GaugeAnova, categories: Between): readonly Finding[] {
  const findings: Finding[] = [];
  const repeats = rows.at(-1)!;
  if (repeats.df < 10) {
    findings.push({
      code: "gauge-study-small",
      severity: "info",
      message: `the scatter rests on ${repeats.df} degrees of freedom and is known within a factor of ${significant(1 + 2 / Math.sqrt(2 * repeats.df), 2)} or so`,
      advice: "read 10 parts three times, without seeing the earlier readings",
    });
  }
  if (operators > 1 && operators < 4) {
    findings.push({
      code: "gauge-few-operators",
      severity: "info",
      message: `${operators} operators say little about others: the upper limits of reproducibility are wide for that reason`,
    });
  }
  if (categories.estimate < FEWEST_CATEGORIES) {
    findings.push({
      code: "gauge-cannot-sort",
      severity: "warning",
      message: `the gauge tells ${categories.estimate < 2 ? "no groups" : `${categories.estimate} groups`} of these parts apart; ${FEWEST_CATEGORIES} are wanted (common practice)`,
      advice:
        "take the mean of several readings, a finer gauge or a jig; if the parts were nearly alike, read parts over the range of the study: the gauge's own scatter stays true, its share does not",
    });
  }
  return findings;
}
