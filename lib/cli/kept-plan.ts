import { existsSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { attempts, type BuildPlan } from "../endurance/index.js";
import { BeadbenchError, type Finding, requireThat, valueUnless } from "../errors/index.js";
import { designatedGas, gasInCylinder } from "../process/index.js";
import { attachFile, type DefinedStudy, type Study } from "../study/index.js";
import type { CommandIo } from "./io.js";
import { parseBuildPlan } from "./plan-files.js";

/** Keeps a plan with the study, under a name of the build's own. */
export function keepPlan(
  io: CommandIo,
  study: Study,
  { name, file }: { readonly name: string; readonly file: string | undefined },
): string | undefined {
  if (file === undefined) return undefined;
  requireThat(
    !attempts(study).some(({ build }) => build === name),
    `build ${name} was started before; choose another name for another attempt`,
  );
  const path = resolve(io.folder, file);
  requireThat(existsSync(path), `there is no file ${file}`);
  parseBuildPlan(readFileSync(path, "utf8"), file);
  const after = attachFile(study, path, { clock: io.clock, note: `plan of build ${name}` });
  const kept = after.entries.at(-1);
  return kept?.kind === "attached" ? kept.file : undefined;
}

/** The plan kept with a build, if it has one. */
export function planOf(study: Study, name: string): BuildPlan | undefined {
  const file = study.buildSteps.find(({ build, plan }) => build === name && plan !== undefined)?.plan;
  if (file === undefined) return undefined;
  const path = join(study.folder, "attachments", file);
  try {
    return parseBuildPlan(readFileSync(path, "utf8"), `attachments/${file}`);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    throw new BeadbenchError(
      "not-found",
      `the plan of ${name} is missing: restore attachments/${file} from a copy of the study`,
    );
  }
}

/**
 * The build that is under way, for commands that name none.
 *
 * @throws {BeadbenchError} `bad-argument` where none is, or several are
 */
export function openBuild(study: Study): string {
  const open = attempts(study).filter(({ state }) => state === "running" || state === "paused");
  const [only, ...more] = open.map(({ build }) => build);
  if (only !== undefined && more.length === 0) return only;
  throw new BeadbenchError(
    "bad-argument",
    only === undefined
      ? "no build is under way: name one, and start it with --start"
      : `${open.length} builds are under way: say which of ${[only, ...more].join(", ")}`,
  );
}

/** @throws {BeadbenchError} `bad-argument` for a layer beyond those a build's plan has */
export function requirePlannedLayer(
  study: Study,
  { build, layer }: { readonly build: string; readonly layer: number },
): void {
  const planned = planOf(study, build)?.outline.layers.length;
  requireThat(
    planned === undefined || layer <= planned,
    `the plan of ${build} has ${planned} layers, got --layer ${layer}; layers beyond the plan go into --note`,
  );
}

/**
 * L usable in the cylinder in place of a plan, by the pressure its gauge reads, bar: of the gas that study.json designates,
 * of argon where it gives no composition; null for one whose pressure tells nothing.
 */
export function usableGas(
  { definition }: DefinedStudy,
  { assumptions }: BuildPlan,
): (pressure: number) => number | null {
  const { cylinder_volume: volume, cylinder_rest: rest } = assumptions;
  const gas = designatedGas(definition.gas?.code ?? "I1") ?? { Ar: 1 };
  const litres = (pressure: number): number | undefined =>
    valueUnless("bad-argument", () => 1000 * gasInCylinder(gas, { volume: volume.value, pressure }));
  return (pressure) => {
    const [full, left] = [litres(pressure + 1), litres(rest.value)];
    return full === undefined || left === undefined ? null : Math.max(0, full - left);
  };
}

/** Says where the gas left in a cylinder is reckoned as argon, because only a group of mixtures is known. */
export function gasTakenAsArgon({ definition }: DefinedStudy): readonly Finding[] {
  const code = definition.gas?.code;
  if (code === undefined || designatedGas(code) !== undefined) return [];
  return [
    {
      code: "gas-as-argon",
      severity: "info",
      message: `the gas left in the cylinder is reckoned as argon: ${code} is a group of mixtures, and with carbon dioxide in it a cylinder holds up to 10 % more, with helium up to 15 % less`,
      advice: "give study.json its composition, such as M21-ArC-18 or I3-ArHe-30",
    },
  ];
}
