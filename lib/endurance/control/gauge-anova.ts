import { BeadbenchError, requireThat } from "../../errors/index.js";
import { fCdf, mean } from "../../numeric/index.js";

/** One reading of a gauge study. */
export interface GaugeReading {
  readonly part: string;
  /** Who read it; leave out in a study of one person. */
  readonly operator?: string;
  readonly value: number;
}

/** The readings of one part by one operator. */
export interface GaugeCell {
  readonly part: string;
  /** "" in a study of one person. */
  readonly operator: string;
  readonly values: readonly number[];
}

/** One row of the analysis of variance. */
export interface AnovaRow {
  readonly source: "parts" | "operators" | "parts x operators" | "repeats";
  readonly df: number;
  readonly ss: number;
  readonly ms: number;
}

/** Readings taken apart into their sources. */
export interface GaugeAnova {
  readonly cells: readonly GaugeCell[];
  readonly parts: number;
  /** 1 in a study of one person. */
  readonly operators: number;
  /** Readings per cell; where parts of a one-person study differ, the count that stands for them in the mean squares. */
  readonly repeats: number;
  readonly rows: readonly AnovaRow[];
  /** Chance of so much interaction where there is none; null in a study of one person. */
  readonly interactionP: number | null;
  /** The interaction, too small to tell, was counted among the repeats. */
  readonly pooled: boolean;
}

/** Most cells named in a refusal. */
const MOST_NAMED = 8;
/** Above this chance an interaction is counted among the repeats (common practice). */
const POOLING = 0.25;

/**
 * Analysis of variance of a gauge study: every part read several times, by one person or by each of several.
 *
 * @throws {BeadbenchError} `bad-argument` for fewer than two parts or two readings of each, or cells of unequal size
 * @source Montgomery and Runger, Quality Engineering 6 (1993) 289 (from memory)
 */
export function gaugeAnova(readings: readonly GaugeReading[]): GaugeAnova {
  const named = readings.filter(({ operator }) => operator !== undefined).length;
  requireThat(
    named === 0 || named === readings.length,
    `${readings.length - named} of ${readings.length} readings name no operator: name one for all, or for none`,
  );
  const parts = [...new Set(readings.map(({ part }) => part))];
  const operators = [...new Set(readings.map(({ operator = "" }) => operator))];
  requireThat(
    parts.length >= 2,
    `a gauge study needs at least 2 parts (10 are usual), got ${parts.length}; read several, from thin to thick`,
  );
  const cells = parts.flatMap((part) =>
    operators.map((operator) => ({
      part,
      operator,
      values: readings
        .filter((reading) => reading.part === part && (reading.operator ?? "") === operator)
        .map(({ value }) => value),
    })),
  );
  return operators.length === 1 ? onePerson(cells) : crossed(cells, operators);
}

const squares = (values: readonly number[], about: number): number =>
  values.reduce((sum, value) => sum + (value - about) ** 2, 0);

const within = (cells: readonly GaugeCell[]): number =>
  cells.reduce((sum, { values }) => sum + squares(values, mean(values)), 0);

const row = (source: AnovaRow["source"], df: number, ss: number): AnovaRow => ({
  source,
  df,
  ss,
  ms: ss / df,
});

/** Parts and repeats; a part read once tells of the parts alone. */
function onePerson(cells: readonly GaugeCell[]): GaugeAnova {
  const sizes = cells.map(({ values }) => values.length);
  const count = sizes.reduce((sum, size) => sum + size, 0);
  requireThat(
    count > cells.length,
    "every part was read once: read each at least twice, lifting the gauge off in between, to tell the gauge from the parts",
  );
  const all = mean(cells.flatMap(({ values }) => values));
  const between = cells.reduce((sum, { values }) => sum + values.length * (mean(values) - all) ** 2, 0);
  const repeats = (count - sizes.reduce((sum, size) => sum + size ** 2, 0) / count) / (cells.length - 1);
  return {
    cells,
    parts: cells.length,
    operators: 1,
    repeats,
    rows: [row("parts", cells.length - 1, between), row("repeats", count - cells.length, within(cells))],
    interactionP: null,
    pooled: false,
  };
}

function crossed(cells: readonly GaugeCell[], operators: readonly string[]): GaugeAnova {
  const repeats = Math.max(...cells.map(({ values }) => values.length));
  const short = cells.filter(({ values }) => values.length !== repeats);
  if (short.length > 0 || repeats < 2) {
    const lacking = short.map(
      ({ part, operator, values }) => `part ${part} by ${operator} ${values.length} times`,
    );
    const why =
      short.length === 0
        ? "every part was read once by each: let each read every part at least twice"
        : `most were read ${repeats} times, but ${lacking.slice(0, MOST_NAMED).join(", ")}${lacking.length > MOST_NAMED ? ` and ${lacking.length - MOST_NAMED} more` : ""}: read these as often, or leave spare readings, a part or a person out of the file`;
    throw new BeadbenchError(
      "bad-argument",
      `a gauge study of several operators needs the same readings everywhere; ${why}`,
    );
  }
  const parts = cells.length / operators.length;
  const means = cells.map(({ values }) => mean(values));
  const all = mean(means);
  const over = (belongs: (cell: GaugeCell) => string): number => {
    const groups = new Map<string, number[]>();
    for (const [i, cell] of cells.entries())
      groups.set(belongs(cell), [...(groups.get(belongs(cell)) ?? []), means[i]!]);
    return squares([...groups.values()].map(mean), all);
  };
  const ofParts = operators.length * repeats * over(({ part }) => part);
  const ofOperators = parts * repeats * over(({ operator }) => operator);
  const ofBoth = Math.max(0, repeats * squares(means, all) - ofParts - ofOperators);
  const scatter = within(cells);
  const [p, o] = [parts - 1, operators.length - 1];
  const free = cells.length * (repeats - 1);
  const interactionP = scatter === 0 ? 0 : 1 - fCdf(ofBoth / (p * o) / (scatter / free), p * o, free);
  const pooled = interactionP > POOLING;
  return {
    cells,
    parts,
    operators: operators.length,
    repeats,
    rows: [
      row("parts", p, ofParts),
      row("operators", o, ofOperators),
      ...(pooled ? [] : [row("parts x operators", p * o, ofBoth)]),
      pooled ? row("repeats", free + p * o, scatter + ofBoth) : row("repeats", free, scatter),
    ],
    interactionP,
    pooled,
  };
}
