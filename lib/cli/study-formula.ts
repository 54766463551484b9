import { BeadbenchError, onlyDefined, ownValue } from "../errors/index.js";
import {
  type DerivedQuantityName,
  derivedQuantities,
  knownQuantity,
  type LayerSet,
  physicalSettingOfCoupon,
  rigPhysics,
  selectLayers,
} from "../models/index.js";
import { fitCurve } from "../regression/index.js";
import {
  couponTable,
  findColumn,
  isNumeric,
  requireCoupons,
  type StudyData,
  suggestion,
} from "../study/index.js";
import { contextUnits } from "../study/record/index.js";
import { columnMeant, type FormulaFit, type FormulaOptions, wholeRows, wordsOf } from "./formula.js";

/** A formula of the user's own for one response of a study. */
export interface StudyFormula extends Pick<FormulaOptions, "start" | "level"> {
  readonly formula: string;
  readonly response: string;
  readonly layers?: LayerSet;
  readonly without?: readonly string[];
}

const isDerived = (name: string): name is DerivedQuantityName => Object.hasOwn(derivedQuantities, name);

/**
 * Fits a formula to a response, on settings, other responses, logged context and derived quantities (arc_energy and its
 * kin), all in the units of the study.
 *
 * @throws {BeadbenchError} `bad-argument` for an unknown response, coupon or parameter
 */
export function fitStudyFormula(
  { definition, coupons }: StudyData,
  { formula, response, start, level, layers, without = [] }: StudyFormula,
): FormulaFit {
  requireCoupons({ coupons }, without);
  const chosen = layers === undefined ? coupons : selectLayers({ coupons }, layers).coupons;
  const used = chosen.filter(({ id, state }) => state === "logged" && !without.includes(id));
  const context = contextUnits(used);
  const unitOf = (name: string): string | undefined => {
    const column = findColumn(definition, name);
    if (isNumeric(column) && "unit" in column) return column.unit;
    return context.get(name) ?? (isDerived(name) ? derivedQuantities[name].unit : undefined);
  };
  const measured = definition.responses.filter(({ kind }) => kind === "measured").map(({ name }) => name);
  const target = columnMeant(response, measured);
  if (target === undefined) {
    const hint = suggestion(response, measured) || `; measured: ${measured.join(", ")}`;
    throw new BeadbenchError("bad-argument", `the study measures no response "${response}"${hint}`);
  }
  const names = [...definition.factors, ...definition.responses].map(({ name }) => name);
  const known = [...names, ...context.keys(), ...Object.keys(derivedQuantities)].filter(
    (name) => unitOf(name) !== undefined,
  );
  const words = wordsOf({ formula, response: target, start }, known);
  const physics = rigPhysics({ definition });
  const table = couponTable({ definition, coupons: used });
  const byId = new Map(used.map((coupon) => [coupon.id, coupon]));
  const value = (name: string, row: Readonly<Record<string, unknown>>): unknown =>
    isDerived(name) && row[name] === undefined
      ? knownQuantity(name, physicalSettingOfCoupon({ definition }, byId.get(String(row.coupon))!), physics)
      : ownValue(row, name);
  const cells = (table.objects() as Readonly<Record<string, unknown>>[]).map((row) =>
    Object.fromEntries([...words].map(([word, name]) => [word, value(name, row)])),
  );
  const rows = wholeRows(cells);
  return {
    curve: fitCurve({ rows, response: target }, onlyDefined({ formula, level, start })),
    units: Object.fromEntries([...words].map(([word, name]) => [word, unitOf(name)!])),
    known,
    lacking: cells.length - rows.length,
  };
}
