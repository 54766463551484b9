import { escape as asIs, type ColumnTable, not, op, table } from "arquero";
import { BeadbenchError, ownValue } from "../../errors/index.js";
import { toStudyUnit } from "../definition/index.js";
import { type Coupon, cellOf, contextUnits, resultOf, type StudyData, scatterOf } from "../record/index.js";
import { suggestion } from "../shape/index.js";

type Cell = number | string | boolean | null;

/**
 * The coupons as a table, one row each, in run order: coupon, run_order, state, role, blocks, settings and
 * responses in the study's units, context quantities in the unit they were first logged in, and for responses
 * read at several stations `<name>_sd` and `<name>_readings` (their number). What was not measured is null, never 0.
 */
export function couponTable({ definition, coupons }: StudyData): ColumnTable {
  const columns: Record<string, readonly Cell[]> = {};
  const add = (name: string, cell: (coupon: Coupon) => Cell | undefined): void => {
    columns[name] = coupons.map((coupon) => cell(coupon) ?? null);
  };
  add("coupon", ({ id }) => id);
  add("run_order", ({ order }) => order);
  add("state", ({ state }) => state);
  add("role", ({ role }) => role);
  for (const name of definition.blocks) add(name, ({ blocks }) => ownValue(blocks, name));
  for (const { name } of definition.factors) add(name, ({ settings }) => ownValue(settings, name));
  for (const [name, unit] of contextUnits(coupons)) {
    add(name, ({ context }) => {
      const found = ownValue(context, name);
      return found === undefined ? null : toStudyUnit(found.value, found.unit, unit);
    });
  }
  for (const { name } of definition.responses) {
    add(name, (coupon) => {
      const result = resultOf(coupon, name);
      return result === undefined ? null : cellOf(result);
    });
    if (!coupons.some((coupon) => scatterOf(coupon, name) !== undefined)) continue;
    add(`${name}_sd`, (coupon) => scatterOf(coupon, name)?.sd);
    add(`${name}_readings`, (coupon) => scatterOf(coupon, name)?.readings.length);
  }
  return table(columns).orderby("run_order", "coupon").reify();
}

/** Figures of one response within one group of coupons. */
export interface ResponseSummary {
  /** Value of each grouping column. */
  readonly group: Readonly<Record<string, number | string | boolean | null>>;
  readonly response: string;
  /** Coupons on which it was measured. */
  readonly coupons: number;
  /** For a pass/fail response the share that passed. */
  readonly mean: number;
  /** Absent for a single coupon. */
  readonly sd?: number;
  readonly lowest: number;
  readonly highest: number;
}

/**
 * Count, mean, standard deviation (n - 1) and range of every response over the logged coupons, per group:
 * `summariseResponses(study, ["day"])` shows what changed from day to day. A mean over different settings
 * describes the plan as much as the rig: compare days by their control coupons.
 *
 * @param by - columns of {@link couponTable} to group by; none for one group
 * @throws {BeadbenchError} `bad-argument` for an unknown column
 */
export function summariseResponses(
  source: StudyData,
  by: readonly string[] = [],
): readonly ResponseSummary[] {
  const logged = source.coupons.filter(({ state }) => state === "logged");
  const all = couponTable({ definition: source.definition, coupons: logged });
  for (const name of by) {
    if (all.columnIndex(name) >= 0) continue;
    throw new BeadbenchError(
      "bad-argument",
      `there is no column "${name}"${suggestion(name, all.columnNames())}`,
    );
  }
  const responses = source.definition.responses.map(({ name }) => name).filter((name) => !by.includes(name));
  const rows = all
    .select([...by, ...responses])
    .fold(responses, { as: ["response", "value"] })
    .filter(asIs((row: { value: Cell }) => row.value !== null))
    .derive({ value: asIs((row: { value: number | boolean }) => Number(row.value)) })
    .groupby([...by, "response"])
    .rollup({
      coupons: op.count(),
      mean: op.mean("value"),
      sd: op.stdev("value"),
      lowest: op.min("value"),
      highest: op.max("value"),
    })
    .derive({ place: asIs((row: { response: string }) => responses.indexOf(row.response)) })
    .orderby(...by, "place")
    .select(not("place"))
    .objects() as (Omit<ResponseSummary, "group"> & Record<string, Cell>)[];
  return rows.map(({ response, coupons, mean, sd, lowest, highest, ...group }) => ({
    group,
    response,
    coupons,
    mean,
    ...(coupons > 1 && sd !== undefined && { sd }),
    lowest,
    highest,
  }));
}
