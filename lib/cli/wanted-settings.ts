import { BeadbenchError, ownValue, requireThat } from "../errors/index.js";
import { isPhysicalQuantity, type PhysicalSetting, physicalSetting, physicalUnits } from "../models/index.js";
import { type Preset, parsePreset } from "../presets/index.js";
import { type Study, suggestion } from "../study/index.js";
import type { Quantity } from "../units/index.js";
import { parseAssignments } from "./assignments.js";
import { readText } from "./files.js";
import type { CommandIo } from "./io.js";

/** Settings by name. */
export type Quantities = Readonly<Record<string, Quantity>>;

/** What a build or a wall is asked to be laid with. */
export interface WantedSettings {
  readonly named: Quantities;
  readonly preset: Preset | undefined;
}

/**
 * Reads settings named by hand and those of a preset.
 *
 * @throws {BeadbenchError} `bad-argument` for a name that is neither a setting of the study nor one the physics knows
 */
export async function wantedSettings(
  io: CommandIo,
  {
    study: { definition },
    items,
    preset: file,
  }: { readonly study: Study; readonly items: readonly string[]; readonly preset?: string },
): Promise<WantedSettings> {
  const { values, units } = parseAssignments(definition, items);
  const factors = definition.factors.map(({ name }) => name);
  const known = [...new Set([...factors, ...Object.keys(physicalUnits)])];
  const named = Object.entries(values).flatMap(([name, value]) => {
    requireThat(
      isPhysicalQuantity(name) || factors.includes(name),
      `"${name}" is no setting known here${suggestion(name, known)}; there are ${known.join(", ")}`,
    );
    const unit = ownValue(units, name);
    if (typeof value === "number") return [[name, { value, unit: unit ?? "1" }] as const];
    if (factors.includes(name)) return [];
    throw new BeadbenchError("bad-argument", `"${name}=${value}": write a number with its unit`);
  });
  return {
    named: Object.fromEntries(named),
    preset: file === undefined ? undefined : parsePreset(await readText(io, file), file),
  };
}

/** Numbers that a preset sets and holds. */
export const settingsOfPreset = ({ held, settings }: Preset): Quantities =>
  Object.fromEntries(
    [...held, ...settings].flatMap(({ name, value, unit }) =>
      typeof value === "number" ? [[name, { value, unit }] as const] : [],
    ),
  );

/** What physics understands of settings. */
export const physicalQuantities = (quantities: Quantities): PhysicalSetting =>
  physicalSetting(Object.entries(quantities).map(([name, quantity]) => ({ name, ...quantity })));
