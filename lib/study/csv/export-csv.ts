import { ownValue, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/figures/index.js";
import { headed } from "../../units/index.js";
import type { Response, StudyDefinition } from "../definition/index.js";
import { findColumn, isYesGood, kindRules, toStudyUnit } from "../definition/index.js";
import type { Coupon } from "../record/index.js";
import { cellOf, contextUnits, resultOf, scatterOf } from "../record/index.js";
import { textCell } from "./csv-guard.js";
import { titleFor } from "./csv-header.js";
import type { DecimalMark } from "./csv-number.js";
import type { Separator } from "./csv-text.js";

/** How a CSV file is laid out; the defaults give what every spreadsheet with a decimal point reads. */
export interface ExportOptions {
  /** Which coupons. Default all. */
  readonly coupons?: readonly Coupon[];
  /**
   * A sheet to be filled in: so many columns of readings for each size where more than one is asked for, one for the
   * arc time then, and no notes of why a coupon was planned. Left out for a record.
   */
  readonly toFillIn?: number;
  /** Default "," (";" with a decimal comma). */
  readonly separator?: Separator;
  /** Default ".". */
  readonly decimal?: DecimalMark;
  /** Line end. Default "\n". */
  readonly lineEnd?: "\n" | "\r\n";
}

/** How long the arc burnt on a coupon: of its own on every sheet, since wear and supplies go by it. */
const ARC_TIME = "arc_time";

interface ExportColumn {
  readonly title: string;
  readonly cell: (coupon: Coupon) => number | string | boolean | undefined;
}

/**
 * Writes coupons as CSV in run order: settings and results in the study's units, an empty cell for what was not
 * measured, readings beside their mean. {@link importCsv} reads the same coupons back. Text that a
 * spreadsheet would run as a formula starts with an apostrophe.
 *
 * @throws {BeadbenchError} `bad-argument` for a decimal comma with "," as separator
 */
export function exportCsv(
  study: { readonly definition: StudyDefinition; readonly coupons: readonly Coupon[] },
  options: ExportOptions = {},
): string {
  const { coupons = study.coupons, decimal = ".", lineEnd = "\n" } = options;
  const separator = options.separator ?? (decimal === "," ? ";" : ",");
  requireThat(decimal !== separator, "exportCsv: a decimal comma needs ; or a tab as separator");
  const columns = exportColumns(study.definition, coupons, options.toFillIn);
  const write = (value: ReturnType<ExportColumn["cell"]>): string =>
    typeof value === "number" ? numberCell(value, decimal, separator) : textCell(String(value ?? ""));
  const rows = coupons.map((coupon) => columns.map(({ cell }) => write(cell(coupon))));
  return [columns.map(({ title }) => title), ...rows].map((row) => row.join(separator) + lineEnd).join("");
}

function exportColumns(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  toFillIn?: number,
): readonly ExportColumn[] {
  return [
    { title: "coupon", cell: ({ id }) => id },
    { title: "run_order", cell: ({ order }) => order },
    { title: "state", cell: ({ state }) => state },
    { title: "role", cell: ({ role }) => role },
    ...definition.blocks.map((name) => ({
      title: name,
      cell: ({ blocks }: Coupon) => ownValue(blocks, name),
    })),
    ...definition.factors.map(({ name }) => ({
      title: titleFor(definition, name),
      cell: ({ settings }: Coupon) => ownValue(settings, name),
    })),
    ...contextColumns(coupons),
    ...definition.responses.flatMap((response) =>
      toFillIn !== undefined && toFillIn > 1 && kindRules(response.kind).stations
        ? Array.from({ length: toFillIn }, (_, i) => blankStation(definition, response, i))
        : responseColumns(definition, coupons, response),
    ),
    ...(toFillIn !== undefined && toFillIn > 1 ? arcTimeColumn(definition, coupons) : []),
    { title: "note", cell: ({ notes }) => (toFillIn === undefined ? notes.join("\n") : undefined) },
  ];
}

/** Room for the arc time, where no column holds it already. */
function arcTimeColumn(definition: StudyDefinition, coupons: readonly Coupon[]): readonly ExportColumn[] {
  const isThere = findColumn(definition, ARC_TIME).role !== "context" || contextUnits(coupons).has(ARC_TIME);
  return isThere ? [] : [{ title: headed(ARC_TIME, "s"), cell: () => undefined }];
}

function contextColumns(coupons: readonly Coupon[]): readonly ExportColumn[] {
  return [...contextUnits(coupons)].map(([name, unit]) => ({
    title: headed(name, unit),
    cell: ({ context }) => {
      const found = ownValue(context, name);
      return found === undefined ? undefined : toStudyUnit(found.value, found.unit, unit);
    },
  }));
}

/** The value, and behind it the stations where any coupon has several. */
function responseColumns(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  response: Response,
): readonly ExportColumn[] {
  const { name } = response;
  const title = titleFor(definition, name);
  const value: ExportColumn = {
    title,
    cell: (coupon) => {
      const result = resultOf(coupon, name);
      const cell = result === undefined ? undefined : cellOf(result);
      // Where true might be read as bad, a word that judges stands for it.
      if (typeof cell === "boolean" && !isYesGood(response)) return cell ? "pass" : "fail";
      // A mean is computed: what arithmetic leaves behind its digits is not the workshop's.
      return typeof cell === "number" && scatterOf(coupon, name) !== undefined ? rounds(cell, 14) : cell;
    },
  };
  const stations = Math.max(0, ...coupons.map((coupon) => scatterOf(coupon, name)?.readings.length ?? 0));
  const station = (i: number): ExportColumn => ({
    title: stationTitle(definition, name, i),
    cell: (coupon) => scatterOf(coupon, name)?.readings[i],
  });
  return [value, ...Array.from({ length: stations }, (_, i) => station(i))];
}

const stationTitle = (definition: StudyDefinition, name: string, i: number): string =>
  titleFor(definition, name).replace(name, `${name}_${i + 1}`);

const blankStation = (definition: StudyDefinition, { name }: Response, i: number): ExportColumn => ({
  title: stationTitle(definition, name, i),
  cell: () => undefined,
});

function numberCell(value: number, decimal: DecimalMark, separator: Separator): string {
  const text = String(value);
  // 1.250 behind ; could be read as thousands: a fourth digit makes it certain.
  const certain = separator !== "," && /^-?\d{1,3}\.\d{3}$/.test(text) ? `${text}0` : text;
  return certain.replace(".", decimal);
}
