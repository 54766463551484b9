import { type Command, Option } from "commander";
import { chartWall, renderSvg } from "../../charts/index.js";
import {
  buildWalls,
  type ForetoldSize,
  planWall,
  requireAttempt,
  type WallLever,
  type WallReading,
  type WallSettings,
  type WallTask,
} from "../../endurance/index.js";
import { BeadbenchError, onlyDefined, requireThat } from "../../errors/index.js";
import type { Preset } from "../../presets/index.js";
import type { Study } from "../../study/index.js";
import type { Quantity } from "../../units/index.js";
import { answer } from "../answer.js";
import { assumeOption } from "../assume-option.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { layerPath, type PathOptions, withPathOptions } from "../layer-path.js";
import { quantityIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { wallLog } from "../wall-log.js";
import { scheduleCsv, wallText } from "../wall-text.js";
import { settingsOfPreset, wantedSettings } from "../wanted-settings.js";
import { presetOf } from "./preset.js";

interface WallOptions extends DecimalOptions, PathOptions {
  readonly preset?: string;
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
  readonly built?: readonly string[] | true;
  readonly assume?: Readonly<Record<string, Quantity>>;
  readonly svg?: string;
  readonly csv?: string;
  readonly json?: boolean;
}

const mm = quantityIn("mm");

export function define(command: Command, io: CommandIo): void {
  command.option(
    "--preset <file>",
    "settings from a preset (`preset --json`); default: those named, else the study's recommended ones",
  );
  withPathOptions(command)
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
      "--built [build...]",
      "heights and temperatures logged with builds laid at these settings (default: all builds)",
    )
    .option(
      "--assume <name=quantity>",
      "put another number in the place of an assumption; may be repeated",
      assumeOption,
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
      const logged =
        options.log === undefined
          ? []
          : wallLog(await readText(io, options.log), { file: options.log, decimal: options.decimal });
      const readings = [...logged, ...builtWalls(study, options.built)];
      const plan = planWall(task, readings);
      if (options.svg !== undefined) writeText(io, options.svg, await renderSvg(chartWall(plan)));
      if (options.csv !== undefined) writeText(io, options.csv, scheduleCsv(plan));
      const { posterior: _, ...result } = plan;
      answer({ io, options, result, text: () => wallText(plan, task) });
    });
}

/** Walls of builds; a build without a height logged tells nothing of its layers. */
function builtWalls(study: Study, built: WallOptions["built"]): readonly WallReading[] {
  if (built === undefined) return [];
  const named = built === true ? undefined : built.map((name) => requireAttempt(study, name).build);
  const found = buildWalls(study, named);
  const lacking = named?.find((name) => !found.some(({ wall }) => wall === name));
  requireThat(
    found.length > 0 && lacking === undefined,
    `${lacking === undefined ? "no build" : `build ${lacking}`} has ${lacking === undefined ? "a" : "no"} height logged: log one now and then, beadbench build <study> -l 40 height="52.1 mm"`,
  );
  return found;
}

/** Path of one layer, which a wall cannot do without. */
function pathOf(options: WallOptions): number {
  const path = layerPath(options);
  if (path === undefined)
    throw new BeadbenchError(
      "bad-argument",
      'give either --length, such as "120 mm", or --ring-diameter: the path of one layer',
    );
  return path;
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
  const { named, preset: told } = await wantedSettings(io, {
    study,
    items,
    ...onlyDefined({ preset: options.preset }),
  });
  const held = study.definition.rig?.settings ?? {};
  if (items.length > 0 && told === undefined)
    return { settings: { ...held, ...named }, foretold: [], ranges: {}, origin: "given" };
  const own = fromPreset(told ?? presetOf(io, study, {}), told === undefined ? "study" : "preset");
  const settings = { ...held, ...own.settings, ...named };
  // What is foretold for a preset does not hold once a setting is changed.
  return items.length === 0 ? { ...own, settings } : { ...own, settings, foretold: [], origin: "given" };
}

function fromPreset(preset: Preset, origin: WallSettings["origin"]): WallSettings {
  return {
    settings: settingsOfPreset(preset),
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
