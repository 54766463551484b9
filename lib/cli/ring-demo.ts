import { join } from "node:path";
import {
  attempts,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  buildProgress,
  buildWalls,
  equalLayers,
  forecastBuild,
  planWall,
} from "../endurance/index.js";
import { onlyDefined } from "../errors/index.js";
import { rigPhysics, usualSetting } from "../models/index.js";
import { cautionsFor } from "../presets/index.js";
import { ATTENDED, buildPage, renderReport, resumeSheet } from "../report/index.js";
import { createRingStudy, type Study } from "../study/index.js";
import { jsonText } from "./answer.js";
import { assumptionsFor, currencyFor } from "./build-input.js";
import { listText, progressText } from "./build-text.js";
import { writeText } from "./files.js";
import { forecastText } from "./forecast-text.js";
import type { CommandIo } from "./io.js";
import { usableGas } from "./kept-plan.js";
import { readSchedule } from "./plan-files.js";
import { wrap } from "./text.js";

/** Layers of the ring, its path in mm, and what its shop did between layers. */
const LAYERS = 200;
const PATH = 80 * Math.PI;
const HABITS = {
  dwell: { value: 72, unit: "s" },
  relevel_time: { value: 4, unit: "min" },
  cylinder_gas: { value: 3860, unit: "L" },
  cylinder_left: { value: 3757, unit: "L" },
  cylinder_volume: { value: 20, unit: "L" },
  spool_mass: { value: 5, unit: "kg" },
  spool_left: { value: 2, unit: "kg" },
} as const;
/** Where the fifth build stood on its first evening. */
const EVENING = { build: "ring-5", layer: 115 } as const;

/** What the demo of a long build wrote and found. */
export interface RingDemo {
  readonly wrote: readonly string[];
  readonly text: string;
  readonly result: object;
}

/**
 * Plays the demo of a long build: the study of five attempts, a schedule from the heights they logged, the forecast of the
 * next ring, and the evening of the fifth with its sheet.
 *
 * @param folder - takes `study`, `evening` and the files; what stood in the two is removed by the caller
 */
export async function playRing(
  io: CommandIo,
  folder: string,
  at: (name: string) => string,
): Promise<RingDemo> {
  const study = createRingStudy(at("study"));
  const wall = planWall(
    {
      study,
      with: { settings: study.definition.rig?.settings ?? {}, foretold: [], ranges: {}, origin: "study" },
      path: PATH,
      layers: LAYERS,
      dwell: HABITS.dwell.value,
      relevelEvery: 10,
    },
    buildWalls(study),
  );
  const { posterior: _, ...schedule } = wall;
  const { settings: __, layers, path, ...read } = readSchedule(jsonText(schedule), "schedule.json");
  const assumptions = assumptionsFor(study, HABITS);
  const plan: BuildPlan = {
    schema: BUILD_PLAN_SCHEMA,
    study: study.definition.name,
    made: io.clock().toISOString(),
    build: { setting: usualSetting(study), wireDensity: rigPhysics(study).wireDensity.value },
    outline: equalLayers({ layers, path: path ?? PATH }),
    assumptions,
    ...onlyDefined({ currency: currencyFor(study, assumptions, undefined) }),
    ...read,
  };
  const forecast = forecastBuild(study, plan);
  const cautions = cautionsFor(study.definition.process);
  const evening = eveningOf(at("evening"));
  const progress = buildProgress(evening, plan, { build: EVENING.build, gasContent: usableGas(study, plan) });
  const wrote: string[] = [];
  const write = (name: string, text: string): void => {
    wrote.push(join(folder, name));
    writeText(io, join(folder, name), text);
  };
  write("schedule.json", jsonText(schedule));
  write("plan.json", jsonText(plan));
  write("forecast.html", await renderReport(buildPage(forecast, cautions)));
  write("sheet.html", await renderReport(resumeSheet(evening, progress, cautions)));
  return {
    wrote,
    result: { wrote, attempts: attempts(study), forecast, evening: progress },
    text: [
      `${wrap(`Demo study "${study.definition.name}": all data are invented. Two people build a ring of ${LAYERS} layers and need five attempts.`)}\n\n`,
      listText(attempts(study)),
      `\n-- The next ring --\n\n${forecastText(forecast, [ATTENDED, ...cautions])}`,
      `\n-- The evening of ${EVENING.build} --\n\n${progressText(progress)}`,
      `\nOpen ${join(folder, "forecast.html")} and ${join(folder, "sheet.html")}; the studies are in ${join(folder, "study")} and ${join(folder, "evening")}. Try\n  node dist/cli/main.js incidents ${join(folder, "study")}\n  node dist/cli/main.js wall ${join(folder, "study")} current=140A --ring-diameter "80 mm" --layers 200 --dwell 72s --built\n`,
    ].join(""),
  };
}

/** The study as its journal stood on that evening. */
const eveningOf = (folder: string): Study =>
  createRingStudy(
    folder,
    (_study, event) =>
      !(
        "log" in event &&
        event.log.kind === "build" &&
        event.log.build === EVENING.build &&
        event.log.layer === EVENING.layer
      ),
  );
