import { ownValue } from "../../errors/index.js";
import { brief } from "../../numeric/index.js";
import { type Quantity, shownUnit } from "../../units/index.js";
import {
  commentLines,
  endLines,
  lineMark,
  type MachineMap,
  mappedSettings,
  type NumberStyle,
  plainText,
  type SwitchLine,
  startLines,
  stopLines,
  unswitched,
  wordName,
  wordNumber,
} from "../machine/index.js";
import { doubtMark, isSequenceName, type Preset, rigCautions } from "../preset/index.js";
import { lostInTables, type WrittenPreset } from "./lost.js";
import { type PresetRow, presetRows } from "./preset-rows.js";

const parameter = (name: string): string => `#<_bead_${wordName(name)}>`;
const byName: NumberStyle = { named: parameter };

/**
 * A preset as a block of RS274/NGC: named parameters with their units, and a start and a stop as subroutines that read them and
 * switch what a machine map says. Run alone it sets numbers and ends; a program puts its moves before the M2. Named parameters and
 * subroutines are later additions to NISTIR 6556, and a control that lacks them will say so.
 *
 * @throws {BeadbenchError} `refused` where the machine cannot set a value
 */
export function presetNgc(preset: Preset, machine: MachineMap): WrittenPreset {
  const rows = presetRows(preset);
  const settings: Record<string, Quantity> = {};
  const words: Record<string, string> = {};
  for (const { name, value, unit } of [...preset.settings, ...preset.held]) {
    if (typeof value === "number") settings[name] = { value, unit };
    else words[name] = value;
  }
  const bead = { settings, sequence: preset.sequence, machine, style: byName };
  const mapped = mappedSettings(machine, settings);
  const lost = [
    ...unswitched(bead, words),
    ...lostInTables(preset),
    ...(preset.schedule === undefined ? [] : ["the layer schedule: no subroutine runs through layers"]),
    ...(preset.findings.length === 0 ? [] : ["findings about the preset"]),
  ];
  const ends = endLines(machine);
  const tail = lineMark(doubtMark(preset));
  const numbers = rows.flatMap((row): readonly string[] => {
    if (!isNumber(row) || typeof row.value !== "number") return [];
    const own = mapped.get(row.name);
    const unit = own === undefined ? row.unit : ownValue(machine.values, row.name)!.unit;
    const range = own === undefined || unit === row.unit ? rangeOf(row) : "";
    return [
      `${parameter(row.name)} = ${wordNumber(own ?? row.value)} (${plainText(`${shownUnit(unit)}${range}${row.note === undefined ? "" : ` - ${row.note}`}`).slice(0, 90)})`,
    ];
  });
  const facts = rows
    .filter((row) => row.kind !== "layer" && !isNumber(row))
    .flatMap(({ kind, name, value, unit, low, high, note }) =>
      commentLines(
        kind,
        `${name}${shownUnit(unit) === "" ? "" : ` in ${unit}`} ${cell(value)}${low === undefined || low === value ? "" : ` from ${cell(low)} to ${cell(high ?? low)}`}${note === undefined ? "" : ` - ${note}`}`,
      ),
    );
  const body = [
    "(Parameters start and stop of a preset - PRELIMINARY - NO QUALIFIED PROCEDURE)",
    ...rigCautions(preset).flatMap((caution) => commentLines("CAUTION", caution)),
    ...lost.flatMap((what) => commentLines("NOT CARRIED", what)),
    ...facts,
    ...numbers,
    ...subroutine("bead_start", startLines(bead)),
    ...subroutine("bead_stop", stopLines(bead)),
    ...(ends.length === 0 ? [] : subroutine("bead_end", ends)),
    `(put the moves here - call bead_start - moves - call bead_stop${ends.length === 0 ? "" : " - when the part is cold call bead_end"})`,
    "M2",
  ];
  return { text: body.map((line) => `${line}${tail}\n`).join(""), lost };
}

/**
 * Whether a row becomes a parameter: numbers to set. A setting that is a number of the start or stop stands there, in its unit.
 */
const isNumber = ({ kind, name, value }: PresetRow): boolean =>
  typeof value === "number" &&
  (kind === "start" || kind === "stop" || ((kind === "setting" || kind === "held") && !isSequenceName(name)));

function subroutine(name: string, lines: readonly SwitchLine[]): readonly string[] {
  return [
    `o<${name}> sub`,
    ...lines.map(({ words, remark }) => `  ${words} (${remark})`),
    `o<${name}> endsub`,
  ];
}

const cell = (value: number | string): string => (typeof value === "number" ? brief(value, 8) : value);

const rangeOf = ({ low, high, value }: PresetRow): string =>
  low === undefined || high === undefined || (low === value && high === value)
    ? ""
    : ` keep ${cell(low)} to ${cell(high)}`;
