import { brief } from "../../numeric/index.js";
import { textCell } from "../../study/index.js";
import { doubtMark, type Preset, rigCautions } from "../preset/index.js";
import { lostInTables, type WrittenPreset } from "./lost.js";
import { type PresetRow, presetRows } from "./preset-rows.js";

const HEADER = ["setting", "value", "unit", "low", "high", "step", "kind", "mark", "note"];

/**
 * A preset as CSV: one row per setting, with the range within which all may move together while the chance keeps its level, each
 * in its unit (what the rig holds constant has a range of one value); then start and stop, what is foretold, where it comes from,
 * findings, cautions, and what the table does not hold, told apart by `kind`. The mark of one in doubt stands on every row. No
 * cell is run as a formula.
 */
export function presetCsv(preset: Preset): WrittenPreset {
  const mark = doubtMark(preset) ?? "";
  const lost = lostInTables(preset);
  const told = (kind: string, name: string, note: string): readonly Cell[] => [
    name,
    "",
    "",
    "",
    "",
    "",
    kind,
    mark,
    note,
  ];
  const rows: readonly (readonly Cell[])[] = [
    HEADER,
    ...presetRows(preset).map((row) => cellsOf(row, mark)),
    ...preset.findings.map(({ code, severity, message, advice }) =>
      told("finding", code, `${severity}: ${message}${advice === undefined ? "" : `; ${advice}`}`),
    ),
    ...rigCautions(preset).map((caution) => told("caution", "caution", caution)),
    ...lost.map((what) => told("not carried", "not carried", what)),
  ];
  return { text: rows.map((row) => `${row.map(written).join(",")}\n`).join(""), lost };
}

type Cell = number | string | undefined;

const cellsOf = (
  { name, value, unit, low, high, step, kind, note }: PresetRow,
  mark: string,
): readonly Cell[] => [name, value, unit, low, high, step, kind, mark, note];

const written = (cell: Cell): string =>
  typeof cell === "number" ? brief(cell, 12) : textCell((cell ?? "").replace(/[\r\n\t]+/g, " "));
