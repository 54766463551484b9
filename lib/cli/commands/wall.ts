import { type Command, Option } from "commander";
import { chartWall, renderSvg } from "../../charts/index.js";
import {
  type ForetoldSize,
  planWall,
  type WallLever,
  type WallPlan,
  type WallSettings,
  type WallTask,
} from "../../endurance/index.js";
import { BeadbenchError, onlyDefined, requireThat } from "../../errors/index.js";
import { brief, fixed, levelPercent, percent, settingDigits, significant } from "../../numeric/index.js";
import { type Preset, parsePreset } from "../../presets/index.js";
import type { Study } from "../../study/index.js";
import { parseQuantity, type Quantity, withUnit } from "../../units/index.js";
import { answer } from "../answer.js";
import { parseAssignments } from "../assignments.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { findingsBelow, textTable, wrap } from "../text.js";
import { wallLog } from "../wall-log.js";
import { presetOf } from "./preset.js";

interface WallOptions extends DecimalOptions {
  readonly preset?: string;
  readonly length?: number;
  readonly ringDiameter?: number;
  readonly layers?: number;
  readonly height?: number;
  readonly lever?: WallLever;
  readonly dwell?: number;
  readonly interpass?: number;
  readonly timeConstant?: number;
  readonly rise?: number;
  readonly riseStep?: number;
  readonly relevelEvery?: number;
  readonly log?: string;
  readonly assume?: Readonly<Record<string, Quantity>>;
  readonly svg?: string;
  readonly csv?: string;
  readonly json?: boolean;
}

const mm = quantityIn("mm");

export function define(command: Command, io: CommandIo): void {
  command
    .option(
      "--preset <file>",
      "settings from a preset (`preset --json`); default: those named, else the study's recommended ones",
    )
    .option("--length <length>", "length of the wall, the path of one layer", mm)
    .option("--ring-diameter <length>", "diameter of a closed ring on its centreline", mm)
    .option("--layers <n>", "layers of the wall", wholeNumber(1))
    .option("--height <length>", "height of the wall, in place of its layers", mm)
    .addOption(
      new Option(
        "--lever <setting>",
        "setting to change by layer so that all layers grow alike (default: the rise alone)",
      ).choices(["current", "travel_speed", "wire_feed_speed"]),
    )
    .option("--dwell <time>", "wait before every layer", quantityIn("s"))
    .option("--interpass <temperature>", "temperature above which no layer begins", quantityIn("degC"))
    .option(
      "--time-constant <time>",
      "of the top after arc-off, from `cooling`, for the dwells",
      quantityIn("s"),
    )
    .option("--rise <length>", "a constant rise you have in mind, to be judged", mm)
    .option("--rise-step <length>", "finest rise the rig can make (default: 0.01 mm)", mm)
    .option(
      "--relevel-every <n>",
      "layers between levellings (default: what the band asks for)",
      wholeNumber(1),
    )
    .option(
      "--log <file>",
      "walls laid so far, CSV: layer [1], standoff [mm], rise [mm], height [mm], temperature [degC], wall (- for standard input)",
    )
    .option(
      "--assume <name=quantity>",
      "put another number in the place of an assumption; may be repeated",
      assumed,
    )
    .addOption(new DecimalOption())
    .addOption(new OutputOption("--svg <file>", "draw rise and stand-off by layer"))
    .addOption(new OutputOption("--csv <file>", "write the schedule, one row per layer"))
    .addHelpText(
      "after",
      `
Settings may be named: beadbench wall my-study current=140A travel_speed="3 mm/s" wire_feed_speed="1.2 m/min" --length "120 mm" --layers 60
A wall log holds a row per layer read: the stand-off before the layer, how far the torch was raised after it (programmed
rise and any correction; an empty cell: as after the layer before), the height of the wall after it.`,
    )
    .action(async (folder: string, items: readonly string[], options: WallOptions) => {
      const study = studyAt(io, folder);
      const task: WallTask = {
        study,
        with: await settingsFor(io, { study, items, options }),
        path: pathOf(options),
        ...sizeOf(options),
        ...onlyDefined({
          lever: options.lever,
          dwell: options.dwell,
          interpass: options.interpass,
          timeConstant: options.timeConstant,
          rise: options.rise,
          riseStep: options.riseStep,
          relevelEvery: options.relevelEvery,
          assume: options.assume,
        }),
      };
      const readings =
        options.log === undefined
          ? []
          : wallLog(await readText(io, options.log), { file: options.log, decimal: options.decimal });
      const plan = planWall(task, readings);
      if (options.svg !== undefined) writeText(io, options.svg, await renderSvg(chartWall(plan)));
      if (options.csv !== undefined) writeText(io, options.csv, scheduleCsv(plan));
      const { posterior: _, ...result } = plan;
      answer({ io, options, result, text: () => wallText(plan, task) });
    });
}

function assumed(
  text: string,
  before: Readonly<Record<string, Quantity>> = {},
): Readonly<Record<string, Quantity>> {
  const at = text.indexOf("=");
  if (at < 1)
    throw new BeadbenchError(
      "bad-argument",
      `--assume "${text}": write it as name=quantity, such as gauge_sd="0.05 mm"`,
    );
  const [name, quantity] = [text.slice(0, at).trim(), text.slice(at + 1).trim()];
  const plain = /^[-+\d.eE]+$/.test(quantity) && Number.isFinite(Number(quantity));
  return { ...before, [name]: plain ? { value: Number(quantity), unit: "1" } : parseQuantity(quantity) };
}

function pathOf({ length, ringDiameter }: WallOptions): number {
  requireThat(
    (length === undefined) !== (ringDiameter === undefined),
    `give either --length, such as "120 mm", or --ring-diameter${length === undefined ? "" : ", not both"}`,
  );
  return length ?? Math.PI * ringDiameter!;
}

function sizeOf({ layers, height }: WallOptions): { readonly layers?: number; readonly height?: number } {
  requireThat(
    (layers === undefined) !== (height === undefined),
    `give either --layers, such as 80, or --height, such as "120 mm"${layers === undefined ? "" : ", not both"}`,
  );
  return onlyDefined({ layers, height });
}

/** Settings of the wall: named by hand, from a preset, or the study's recommended ones. */
async function settingsFor(
  io: CommandIo,
  {
    study,
    items,
    options,
  }: { readonly study: Study; readonly items: readonly string[]; readonly options: WallOptions },
): Promise<WallSettings> {
  const named = items.length === 0 ? {} : namedSettings(study, items);
  if (items.length > 0 && options.preset === undefined)
    return { settings: { ...heldBy(study), ...named }, foretold: [], ranges: {}, origin: "given" };
  const preset =
    options.preset === undefined
      ? presetOf(io, study, {})
      : parsePreset(await readText(io, options.preset), options.preset);
  const own = fromPreset(preset, options.preset === undefined ? "study" : "preset");
  // What is foretold for a preset does not hold once a setting is changed.
  return items.length === 0
    ? { ...own, settings: { ...heldBy(study), ...own.settings } }
    : { ...own, settings: { ...heldBy(study), ...own.settings, ...named }, foretold: [], origin: "given" };
}

const heldBy = ({ definition }: Study): Readonly<Record<string, Quantity>> => definition.rig?.settings ?? {};

function namedSettings({ definition }: Study, items: readonly string[]): Readonly<Record<string, Quantity>> {
  const { values, units } = parseAssignments(definition, items);
  return Object.fromEntries(
    Object.entries(values).flatMap(([name, value]) =>
      typeof value === "number" ? [[name, { value, unit: units[name] ?? "1" }] as const] : [],
    ),
  );
}

function fromPreset(preset: Preset, origin: WallSettings["origin"]): WallSettings {
  return {
    settings: Object.fromEntries(
      [...preset.held, ...preset.settings].flatMap(({ name, value, unit }) =>
        typeof value === "number" ? [[name, { value, unit }] as const] : [],
      ),
    ),
    foretold: preset.predicted.map(
      ({ name, unit, median, lower, upper }): ForetoldSize => ({ name, unit, median, lower, upper }),
    ),
    ranges: Object.fromEntries(
      preset.window.ranges.flatMap(({ name, unit, low, high }) =>
        typeof low === "number" && typeof high === "number" ? [[name, { low, high, unit }] as const] : [],
      ),
    ),
    origin,
  };
}

/** The schedule as CSV: one row per layer, settings that a lever moves in columns of their own. */
function scheduleCsv({ layers }: WallPlan): string {
  const moved = [
    ...new Set(
      layers.flatMap(({ settings }) =>
        Object.entries(settings).map(([name, { unit }]) => `${name} [${unit}]`),
      ),
    ),
  ];
  const header = [
    "layer",
    "rise [mm]",
    "dwell [s]",
    "temperature [degC]",
    "standoff [mm]",
    "standoff_low [mm]",
    "standoff_high [mm]",
    "relevel",
    "growth [mm]",
    ...moved,
  ];
  const rows = layers.map((row) => [
    row.layer,
    brief(row.rise, 6),
    fixed(row.dwell, 1),
    fixed(row.temperature ?? 0, 0),
    fixed(row.standoff, 3),
    fixed(row.standoffLow, 3),
    fixed(row.standoffHigh, 3),
    row.relevel ? "yes" : "no",
    fixed(row.growth, 3),
    ...moved.map((title) => {
      const found = Object.entries(row.settings).find(([name, { unit }]) => `${name} [${unit}]` === title);
      return found === undefined ? "" : brief(found[1].value, 8);
    }),
  ]);
  return [header, ...rows].map((cells) => `${cells.join(",")}\n`).join("");
}

/** Layers worth a line: the first ones, then ever further apart, levellings left to the CSV. */
function shownLayers(count: number): readonly number[] {
  const shown: number[] = [];
  for (let at = 1; at <= count; at = at < 5 ? at + 1 : Math.max(at + 1, Math.round(at * 1.35)))
    shown.push(at);
  return shown.at(-1) === count ? shown : [...shown, count];
}

function wallText(plan: WallPlan, task: WallTask): string {
  const { layers, constant, relevelEvery, coupons } = plan;
  const moved = layers.some(({ settings }) => Object.keys(settings).length > 0) ? task.lever : undefined;
  const right = (title: string) => ({ title, align: "right" as const });
  const rows = shownLayers(layers.length).map((at) => {
    const row = layers[at - 1]!;
    const setting = moved === undefined ? undefined : (row.settings[moved] ?? task.with.settings[moved]);
    return [
      String(at),
      at === 1 ? "touch off" : fixed(row.rise, 2),
      ...(moved === undefined || setting === undefined ? [] : [settingDigits(setting.value)]),
      fixed(row.dwell, 0),
      fixed(row.temperature ?? 0, 0),
      `${significant(row.standoff)} (${fixed(row.standoffLow, 1)} to ${fixed(row.standoffHigh, 1)})`,
      row.relevel ? "re-level" : "",
    ];
  });
  return [
    `Wall of ${layers.length} layers, ${fixed(plan.height, 1)} mm high, ${fixed(plan.time / 60, 0)} min with dwells; stand-off ${significant(plan.standoff)} mm held between ${significant(plan.touch)} (touch) and ${significant(plan.tooLong)} mm (too long)\n\n`,
    textTable(
      [
        right("layer"),
        right("rise before [mm]"),
        ...(moved === undefined ? [] : [right(`${moved} [${task.with.settings[moved]!.unit}]`)]),
        right("dwell before [s]"),
        right("begins at [degC]"),
        { title: `stand-off [mm] (${levelPercent(plan.level)})` },
        { title: "" },
      ],
      rows,
    ),
    `\n${firstLayersText(plan)}`,
    relevelEvery === null
      ? "Levelling: none needed by the band; measure all the same.\n"
      : `Levelling: measure and set the stand-off anew every ${relevelEvery === 1 ? "layer" : `${relevelEvery} layers`}.\n`,
    constantText(plan),
    coursesText(plan),
    constant.touches === null && coupons.length === 0 ? "" : couponsText(plan),
    "\nAssumed (put another in its place with --assume name=quantity):\n",
    textTable(
      [{ title: "name" }, right("value"), { title: "from" }],
      plan.assumptions.map(({ name, value, unit, origin, note }) => [
        name,
        withUnit(brief(value, 4), unit),
        `${origin}; ${note}`,
      ]),
    ),
    findingsBelow(plan.findings),
    `\n${plan.cautions.map((caution) => `${wrap(caution)}\n`).join("")}`,
  ].join("");
}

function firstLayersText({ bare }: WallPlan): string {
  const last = bare.at(-1)!.expected;
  const settled = bare.findLastIndex(({ expected }) => Math.abs(expected / last - 1) > 0.03) + 2;
  const first = bare.slice(0, 3).map(({ expected }) => fixed(expected, 2));
  return `Growth: layers 1 to ${first.length} ${first.join(", ")} mm, ${settled <= 3 ? "" : `falling till about layer ${Math.min(settled, bare.length)}, `}the last ${fixed(last, 2)} mm (${fixed(bare.at(-1)!.low, 2)} to ${fixed(bare.at(-1)!.high, 2)}).\n`;
}

function constantText({ constant: { rise, origin, bands, touches, stretches }, layers }: WallPlan): string {
  const end = bands[layers.length - 1]!;
  const when = [
    touches === null ? "" : `may touch from layer ${touches}`,
    stretches === null ? "" : `may stretch from layer ${stretches}`,
  ].filter((part) => part !== "");
  return `A constant rise of ${significant(rise, 4)} mm (${origin}), never levelled: ${when.length === 0 ? "stays within" : when.join(", ")}; before the last layer ${fixed(end.expected, 1)} mm (${fixed(end.low, 1)} to ${fixed(end.high, 1)}).\n`;
}

function coursesText({ shapes, walls, studyCoupons }: WallPlan): string {
  const likely = Object.entries(shapes)
    .slice(0, 3)
    .map(([name, chance]) => `${name} ${percent(chance)}`);
  const rests = [
    ...walls.map(
      ({ wall, layers, readings }) =>
        `${wall === "" ? "a wall" : `wall ${wall}`} of ${layers} layers (${readings} readings)`,
    ),
    ...studyCoupons.map(
      ({ set, coupons }) => `${coupons} coupons of ${set === "first" ? "first layers" : "walls"}`,
    ),
  ];
  return `Rests on ${rests.length === 0 ? "mass and energy balance alone" : rests.join(", ")}; course of the growth: ${likely.join(", ")}.\n`;
}

function couponsText({ coupons, level }: WallPlan): string {
  if (coupons.length === 0) return "";
  const lines = coupons.map(
    ({ layers, measure, before, after, why }, i) =>
      `${i + 1}. ${layers} layers, stand-off before layers ${measure.join(", ")}, height at the end: ${why}; half band before the last layer ${fixed(before, 1)} -> ${fixed(after, 1)} mm\n`,
  );
  return `\nWall coupons that would settle it (${levelPercent(level)}, stand-off never levelled), laid with these settings, rises and layer time:\n${lines.map((line) => `${wrap(line.trim(), "   ")}\n`).join("")}`;
}
