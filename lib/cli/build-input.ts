import { z } from "zod";
import {
  type Assumptions,
  assume,
  assumptionUnit,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  checkOutline,
  equalLayers,
  type PartOutline,
} from "../endurance/index.js";
import { BeadbenchError, errorFromIssues, parseJson, requireThat } from "../errors/index.js";
import {
  isPhysicalQuantity,
  type PhysicalSetting,
  physicalSetting,
  physicalUnits,
  usualSetting,
} from "../models/index.js";
import { type Preset, parsePreset } from "../presets/index.js";
import { readTable, type Study, suggestion, type TableSource } from "../study/index.js";
import { type Quantity, readQuantity } from "../units/index.js";
import { parseAssignments } from "./assignments.js";
import { readText } from "./files.js";
import type { CommandIo } from "./io.js";
import { namedText } from "./options.js";

/** The part as options tell it. */
export interface PartOptions {
  readonly length?: number;
  readonly ringDiameter?: number;
  readonly layers?: number;
  readonly starts?: number;
  readonly part?: string;
}

/** The part to be built: a table by layer, or equal layers of a wall or a ring. */
export async function partOf(
  io: CommandIo,
  options: PartOptions & { readonly decimal?: TableSource["decimal"] },
): Promise<PartOutline> {
  const { length, ringDiameter, layers, starts, part } = options;
  if (part !== undefined) {
    requireThat(
      length === undefined && ringDiameter === undefined && layers === undefined,
      "give either --part, a table by layer, or --length or --ring-diameter with --layers",
    );
    const rows = readTable(
      await readText(io, part),
      [
        { name: "layer", unit: "1" },
        { name: "path", unit: "mm" },
        { name: "starts", unit: "1", optional: true },
      ],
      { file: part, ...(options.decimal === undefined ? {} : { decimal: options.decimal }) },
    );
    return checkOutline(
      rows.map((row) => ({
        layer: Number(row.layer),
        path: Number(row.path),
        starts: row.starts === undefined ? (starts ?? 1) : Number(row.starts),
      })),
    );
  }
  requireThat(
    (length === undefined) !== (ringDiameter === undefined),
    `say what is built: --length "120 mm" of a wall, --ring-diameter "60 mm", or --part with a table by layer`,
  );
  requireThat(layers !== undefined, "say how many layers, such as --layers 200");
  return equalLayers({
    layers,
    path: length ?? Math.PI * ringDiameter!,
    ...(starts === undefined ? {} : { starts }),
  });
}

/** Settings of a build: what the rig usually held, then a preset, then what is named by hand. */
export async function buildSetting(
  io: CommandIo,
  {
    study,
    items,
    preset: file,
  }: { readonly study: Study; readonly items: readonly string[]; readonly preset?: string },
): Promise<PhysicalSetting> {
  const preset: Preset | undefined =
    file === undefined ? undefined : parsePreset(await readText(io, file), file);
  const fromPreset = [...(preset?.held ?? []), ...(preset?.settings ?? [])].flatMap(
    ({ name, value, unit }) => (typeof value === "number" ? [{ name, value, unit }] : []),
  );
  const { values, units } = parseAssignments(study.definition, items);
  const known = Object.keys(physicalUnits);
  for (const name of Object.keys(values)) {
    requireThat(
      isPhysicalQuantity(name) || study.definition.factors.some((factor) => factor.name === name),
      `"${name}" is no setting a forecast knows${suggestion(name, known)}; it knows ${known.join(", ")}`,
    );
  }
  const named = Object.entries(values).flatMap(([name, value]) =>
    typeof value === "number" ? [{ name, value, unit: units[name]! }] : [],
  );
  return { ...usualSetting(study), ...physicalSetting([...fromPreset, ...named]) };
}

/** Gathers `--assume name=quantity`, given once or more. */
export function assumeOption(
  text: string,
  before: Readonly<Record<string, Quantity>> = {},
): Readonly<Record<string, Quantity>> {
  const [name, written] = namedText(text, 'write it as name=quantity, such as dwell="40 s"');
  const unit = assumptionUnit(name);
  const quantity = readQuantity(written, {
    like: unit,
    ...(unit === "1" ? { bare: "1" } : {}),
  });
  if (typeof quantity === "string")
    throw new BeadbenchError("bad-argument", `--assume "${text}": ${quantity}`);
  return { ...before, [name]: quantity };
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

const quantity = z.number();
const layerShape = z.looseObject({
  layer: z.int().min(1),
  rise: quantity.optional(),
  settings: z.record(z.string(), z.object({ value: z.number(), unit: z.string() })).optional(),
  dwell: quantity.min(0).optional(),
  temperature: quantity.optional(),
  standoff: quantity.optional(),
  standoffLow: quantity.optional(),
  standoffHigh: quantity.optional(),
  relevel: z.boolean().optional(),
});
const scheduleShape = z.looseObject({ layers: z.array(layerShape).min(1) });

/** What a layer schedule (`wall --json`) says of each layer of a build. */
export function scheduleLayers(text: string, file: string): Pick<BuildPlan, "perLayer" | "standoff"> {
  const raw = parseJson(text, file) as { readonly schedule?: unknown };
  const found = scheduleShape.safeParse(raw.schedule ?? raw);
  if (!found.success) {
    throw errorFromIssues(
      "bad-file",
      `${file} is no layer schedule; write one with \`beadbench wall --json\`:`,
      found.error.issues.map(({ path, message }) => ({ file, column: path.join("."), message })),
    );
  }
  const { layers } = found.data;
  return {
    perLayer: Object.fromEntries(
      layers.map(({ layer, rise, settings, dwell, temperature, relevel }) => [
        String(layer),
        {
          ...(settings === undefined
            ? {}
            : {
                setting: physicalSetting(Object.entries(settings).map(([name, own]) => ({ name, ...own }))),
              }),
          ...(rise === undefined ? {} : { rise }),
          ...(dwell === undefined ? {} : { dwell }),
          ...(temperature === undefined ? {} : { temperature }),
          ...(relevel === undefined ? {} : { relevel }),
        },
      ]),
    ),
    standoff: layers.flatMap(({ layer, standoff, standoffLow, standoffHigh }) =>
      standoff === undefined || standoffLow === undefined || standoffHigh === undefined
        ? []
        : [{ layer, expected: standoff, low: standoffLow, high: standoffHigh }],
    ),
  };
}

const planShape = z.looseObject({
  schema: z.literal(BUILD_PLAN_SCHEMA),
  study: z.string(),
  made: z.string(),
  build: z.object({ setting: z.record(z.string(), z.number()), wireDensity: z.number() }),
  outline: z.object({
    layers: z.array(z.object({ layer: z.number(), path: z.number(), starts: z.number() })).min(1),
  }),
  assumptions: z.record(z.string(), z.looseObject({ value: z.number(), unit: z.string() })),
  perLayer: z.record(z.string(), z.looseObject({})),
  standoff: z.array(z.object({ layer: z.number(), expected: z.number(), low: z.number(), high: z.number() })),
});

/** A build plan read back from its file. */
export function parseBuildPlan(text: string, file: string): BuildPlan {
  const found = planShape.safeParse(parseJson(text, file));
  if (!found.success) {
    throw errorFromIssues(
      "bad-file",
      `${file} is no build plan; write one with \`beadbench forecast --plan FILE\`:`,
      found.error.issues.map(({ path, message }) => ({ file, column: path.join("."), message })),
    );
  }
  const plan = found.data as unknown as BuildPlan;
  // Plans of before an assumption was known take its usual value.
  return {
    ...plan,
    outline: checkOutline(plan.outline.layers),
    assumptions: { ...assume([]), ...plan.assumptions },
  };
}
