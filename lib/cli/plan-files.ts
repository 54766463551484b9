import { z } from "zod";
import { assume, BUILD_PLAN_SCHEMA, type BuildPlan, checkOutline } from "../endurance/index.js";
import {
  errorFromIssues,
  onlyDefined,
  ownValue,
  parseJson,
  requireThat,
  schemaIssues,
} from "../errors/index.js";
import type { Quantity } from "../units/index.js";
import { physicalQuantities } from "./wanted-settings.js";

const quantity = z.number();
const settingsShape = z.record(z.string(), z.object({ value: z.number(), unit: z.string() }));
const layerShape = z.looseObject({
  layer: z.int().min(1),
  rise: quantity.optional(),
  settings: settingsShape.optional(),
  dwell: quantity.min(0).optional(),
  temperature: quantity.optional(),
  standoff: quantity.optional(),
  standoffLow: quantity.optional(),
  standoffHigh: quantity.optional(),
  relevel: z.boolean().optional(),
});
const scheduleShape = z.looseObject({
  layers: z.array(layerShape).min(1),
  path: z.number().positive().optional(),
  settings: settingsShape.optional(),
  touch: quantity.optional(),
  tooLong: quantity.optional(),
  interpass: quantity.nullable().optional(),
});

/** A layer schedule as a build takes it. */
export interface ReadSchedule extends Pick<BuildPlan, "perLayer" | "standoff" | "held"> {
  readonly layers: number;
  /** mm of one layer, and what all layers are laid with where no layer says otherwise. */
  readonly path?: number;
  readonly settings: Readonly<Record<string, Quantity>>;
}

/** What a layer schedule (`wall --json`) says of each layer of a build. */
export function readSchedule(text: string, file: string): ReadSchedule {
  const whole = parseJson(text, file) as Readonly<Record<string, unknown>> | null;
  const inner = ownValue(whole ?? undefined, "schedule");
  const found = scheduleShape.safeParse(inner ?? whole);
  if (!found.success) {
    throw errorFromIssues(
      "bad-file",
      `${file} is no layer schedule; write one with \`beadbench wall --json\`:`,
      schemaIssues(
        { file, text, raw: whole },
        found.error.issues.map((issue) => ({
          ...issue,
          path: inner === undefined ? issue.path : ["schedule", ...issue.path],
        })),
      ),
    );
  }
  const { layers, path, settings = {}, touch, tooLong, interpass } = found.data;
  layers.forEach(({ layer }, i) => {
    requireThat(
      layer === i + 1,
      `${file}: layers must be counted 1, 2, 3 without a gap: after layer ${i} comes ${layer}`,
    );
  });
  return {
    layers: layers.length,
    settings,
    ...onlyDefined({ path }),
    held: onlyDefined({ touch, tooLong, interpass: interpass ?? undefined }),
    perLayer: Object.fromEntries(
      layers.map(({ layer, rise, settings: own, dwell, temperature, relevel }) => [
        String(layer),
        {
          ...(own === undefined ? {} : { setting: physicalQuantities(own) }),
          ...onlyDefined({ rise, dwell, temperature, relevel }),
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
  currency: z.string().optional(),
  perLayer: z.record(z.string(), z.looseObject({})),
  held: z
    .object({ touch: quantity.optional(), tooLong: quantity.optional(), interpass: quantity.optional() })
    .optional(),
  standoff: z.array(z.object({ layer: z.number(), expected: z.number(), low: z.number(), high: z.number() })),
});

/** A build plan read back from its file. */
export function parseBuildPlan(text: string, file: string): BuildPlan {
  const raw = parseJson(text, file);
  const found = planShape.safeParse(raw);
  if (!found.success) {
    throw errorFromIssues(
      "bad-file",
      `${file} is no build plan; write one with \`beadbench forecast --plan FILE\`:`,
      schemaIssues({ file, text, raw }, found.error.issues),
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
