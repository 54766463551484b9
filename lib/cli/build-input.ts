import { type Assumptions, assume, checkOutline, equalLayers, type PartOutline } from "../endurance/index.js";
import { onlyDefined, requireThat } from "../errors/index.js";
import { type PhysicalSetting, usualSetting } from "../models/index.js";
import { readTable, type Study, type TableSource } from "../study/index.js";
import type { Quantity } from "../units/index.js";
import { readText } from "./files.js";
import type { CommandIo } from "./io.js";
import { layerPath, type PathOptions } from "./layer-path.js";
import type { ReadSchedule } from "./plan-files.js";
import { physicalQuantities, settingsOfPreset, type WantedSettings } from "./wanted-settings.js";

/** The part as options tell it. */
export interface PartOptions extends PathOptions {
  readonly layers?: number;
  readonly starts?: number;
  readonly part?: string;
}

/** The part to be built: a table by layer, or equal layers of a wall or a ring, told by options or by its schedule. */
export async function partOf(
  io: CommandIo,
  options: PartOptions & { readonly decimal?: TableSource["decimal"] },
  schedule?: ReadSchedule,
): Promise<PartOutline> {
  const outline = await outlineOf(io, options, schedule);
  requireThat(
    schedule === undefined || schedule.layers >= outline.layers.length,
    `the schedule has ${schedule?.layers} layers and the part ${outline.layers.length}; make a schedule of all layers with \`beadbench wall --layers ${outline.layers.length}\``,
  );
  return outline;
}

async function outlineOf(
  io: CommandIo,
  options: PartOptions & { readonly decimal?: TableSource["decimal"] },
  schedule: ReadSchedule | undefined,
): Promise<PartOutline> {
  const { starts, part, decimal } = options;
  const told = layerPath(options);
  if (part !== undefined) {
    requireThat(
      told === undefined && options.layers === undefined,
      "give either --part, a table by layer, or --length or --ring-diameter with --layers",
    );
    const rows = readTable(
      await readText(io, part),
      [
        { name: "layer", unit: "1" },
        { name: "path", unit: "mm" },
        { name: "starts", unit: "1", optional: true },
      ],
      { file: part, ...onlyDefined({ decimal }) },
    );
    return checkOutline(
      rows.map((row) => ({
        layer: Number(row.layer),
        path: Number(row.path),
        starts: row.starts === undefined ? (starts ?? 1) : Number(row.starts),
      })),
    );
  }
  const path = told ?? schedule?.path;
  const layers = options.layers ?? schedule?.layers;
  requireThat(
    path !== undefined,
    `say what is built: --length "120 mm" of a wall, --ring-diameter "60 mm", --part with a table by layer, or --schedule of \`wall --json\``,
  );
  requireThat(layers !== undefined, "say how many layers, such as --layers 200");
  return equalLayers({ layers, path: path!, ...onlyDefined({ starts }) });
}

/** Settings of a build: what the rig usually held, then its schedule's, then a preset's, then those named by hand. */
export function buildSetting(
  study: Study,
  { named, preset }: WantedSettings,
  schedule?: ReadSchedule,
): PhysicalSetting {
  return {
    ...usualSetting(study),
    ...physicalQuantities({
      ...schedule?.settings,
      ...(preset === undefined ? {} : settingsOfPreset(preset)),
      ...named,
    }),
  };
}

/** What a forecast assumes: given by hand, then prices of study.json, then common practice. */
export function assumptionsFor(
  { definition }: Study,
  given: Readonly<Record<string, Quantity>> = {},
): Assumptions {
  const { gasPerM3, wirePerKg, labourPerHour } = definition.costs ?? {};
  const prices = Object.entries({
    gas_price: gasPerM3,
    wire_price: wirePerKg,
    labour_price: labourPerHour,
  }).flatMap(([name, value]) => (value === undefined ? [] : [[name, { value, unit: "1" }] as const]));
  // Of the processes of ISO 4063 only the groups 14 and 15, TIG and plasma, wear a tungsten.
  const noTungsten = /^1[45]/.test(definition.process) ? {} : { tungsten_life: { value: 0, unit: "h" } };
  return assume([
    ["given", given],
    ["study", { ...Object.fromEntries(prices), ...noTungsten }],
  ]);
}

/**
 * The currency of a forecast's prices: the study's, or the word given.
 *
 * @throws {BeadbenchError} `bad-argument` where prices of the study would be added to those of another currency
 */
export function currencyFor(
  { definition }: Study,
  assumptions: Assumptions,
  given: string | undefined,
): string | undefined {
  const own = definition.costs?.currency;
  if (given === undefined) return own;
  requireThat(
    /^\p{L}[\p{L} .]{0,11}$|^\p{Sc}$/u.test(given),
    `--currency is a word or a sign, such as EUR, got "${given}"`,
  );
  const mixed = Object.values(assumptions).filter(
    ({ name, value, origin }) => origin === "study" && name.endsWith("_price") && value > 0,
  );
  requireThat(
    own === undefined || own === given || mixed.length === 0,
    `--currency ${given}, but ${mixed.map(({ name }) => name).join(", ")} of study.json are in ${own}, and currencies are never added up: give these prices in ${given} with --assume, or leave --currency away`,
  );
  return given;
}
