import { percent } from "../../numeric/index.js";
import type { Preset, PresetSetting, SequenceStep } from "../preset/index.js";

/** What a row of a preset is. */
export type RowKind =
  | "setting"
  | "held"
  | "start"
  | "stop"
  | "derived"
  | "predicted"
  | "check"
  | "chance"
  | "limit"
  | "material"
  | "made"
  | "layer";

/** One fact of a preset, fit for a table. */
export interface PresetRow {
  readonly kind: RowKind;
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
  readonly low?: number | string;
  readonly high?: number | string;
  readonly step?: number;
  readonly note?: string;
}

/** A preset as rows, all but its findings and cautions: settings first, layers last. */
export function presetRows(preset: Preset): readonly PresetRow[] {
  const { chance, window, derived, predicted, checks, limits, sequence } = preset;
  return [
    ...preset.settings.map((setting) => settingRow(preset, setting)),
    ...preset.held.map(
      ({ name, value, unit }): PresetRow => ({ kind: "held", name, value, unit, low: value, high: value }),
    ),
    ...sequence.start.map(stepRow("start")),
    ...sequence.stop.map(stepRow("stop")),
    ...derived.map((one): PresetRow => ({ kind: "derived", ...one })),
    ...predicted.map(
      ({ name, unit, median, lower, upper, chance: meets }): PresetRow => ({
        kind: "predicted",
        name,
        value: median,
        unit,
        low: lower,
        high: upper,
        note: `median and 95 % of coupons; ${percent(meets)} meet what is asked of it`,
      }),
    ),
    ...checks.map(
      ({ name, chance: good }): PresetRow => ({
        kind: "check",
        name,
        value: good,
        unit: "1",
        note: "chance of a good verdict",
      }),
    ),
    {
      kind: "chance",
      name: "conforms_in_all",
      value: chance.value,
      unit: "1",
      low: chance.lower,
      high: chance.upper,
      note: "chance, and 90 % of what the coupons leave open",
    },
    {
      kind: "chance",
      name: "inside_ranges",
      value: window.reached,
      unit: "1",
      note: `at least, with all settings anywhere in their ranges; asked for ${percent(window.asked)}`,
    },
    ...limits.map(
      ({ name, unit, value, min, max, binds }): PresetRow => ({
        kind: "limit",
        name,
        value,
        unit,
        ...(min === undefined ? {} : { low: min }),
        ...(max === undefined ? {} : { high: max }),
        note: binds ? "binds: one step further breaks it" : "does not bind",
      }),
    ),
    ...materialRows(preset),
    ...madeRows(preset),
    ...layerRows(preset),
  ];
}

function settingRow({ window }: Preset, { name, value, unit, step }: PresetSetting): PresetRow {
  const { low, high } = window.ranges.find((range) => range.name === name) ?? { low: value, high: value };
  return { kind: "setting", name, value, unit, low, high, ...(step === undefined ? {} : { step }) };
}

const stepRow =
  (kind: "start" | "stop") =>
  ({ name, value, unit, note }: SequenceStep): PresetRow => ({ kind, name, value, unit, note });

function materialRows({ process, wire, base, gas, rig }: Preset): readonly PresetRow[] {
  const row = (name: string, value: number | string | undefined, unit = "1"): readonly PresetRow[] =>
    value === undefined ? [] : [{ kind: "material", name, value, unit }];
  return [
    ...row("process", process),
    ...row("wire", wire?.classification),
    ...row("wire_diameter", wire?.diameter.value, wire?.diameter.unit),
    ...row("wire_material", wire?.material),
    ...row("base", base?.material),
    ...row("base_thickness", base?.thickness?.value, base?.thickness?.unit),
    ...row("base_diameter", base?.diameter?.value, base?.diameter?.unit),
    ...row("gas", gas?.code),
    ...row("gas_flow", gas?.flow?.value, gas?.flow?.unit),
    ...row("rig", rig),
  ];
}

function madeRows({ study, made, basis, review, schema }: Preset): readonly PresetRow[] {
  const row = (name: string, value: number | string, note?: string): PresetRow => ({
    kind: "made",
    name,
    value,
    unit: "1",
    ...(note === undefined ? {} : { note }),
  });
  return [
    row("study", study),
    row("made", made),
    row("coupons", basis.coupons),
    ...(basis.journal === undefined ? [] : [row("journal", basis.journal, "hash of its last entry")]),
    row("seed", basis.seed),
    row("model", basis.model),
    row("schema", schema),
    row("review_by", review.by, review.sooner),
  ];
}

function layerRows({ schedule }: Preset): readonly PresetRow[] {
  if (schedule === undefined) return [];
  return schedule.layers.flatMap(({ layer, rise, dwell, settings, relevel }): readonly PresetRow[] => {
    const row = (name: string, value: number, unit: string): PresetRow => ({
      kind: "layer",
      name,
      value,
      unit,
      note: `before layer ${layer}${relevel ? "; measure the stand-off and set it anew" : ""}`,
    });
    return [
      row("rise", rise, "mm"),
      row("dwell", dwell, "s"),
      ...Object.entries(settings).map(([name, { value, unit }]) => row(name, value, unit)),
    ];
  });
}
