import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { createStudy, type Study } from "../record/index.js";
import { applyEvent, parseEvents, type StudyEvent } from "./event-script.js";
import { scratchFolder } from "./scratch-folder.js";

/** Folder of the invented demo data; one level above `lib/`, and above the compiled `dist/`. */
const demoData = fileURLToPath(new URL("../../../data-demo/", import.meta.url));

const read = (name: string): string => readFileSync(join(demoData, name), "utf8");

/**
 * The definition of the invented demo study as its study.json holds it, before defaults are filled in; give it to
 * `parseStudyDefinition`.
 */
export function demoDefinition(): { readonly name: string } {
  return JSON.parse(read("study.json"));
}

/** The demo's events, in order of time. */
export function demoEvents(): readonly StudyEvent[] {
  return parseEvents(read("events.jsonl"), "events.jsonl");
}

/** Called after each event of a demo; returning false stops there. */
export type OnEvent = (study: Study, event: StudyEvent) => boolean;

/**
 * Plays the invented demo study into a new folder: four days of coupons on a home-built TIG cold-wire rig,
 * with failures, repeats, a slip of unit, corrections and changes of equipment, each stamped with its own time.
 *
 * @param folder - default a scratch folder
 * @param onEvent - called after each event; returning false stops there
 * @throws {BeadbenchError} `exists` when the folder holds a study already
 */
export function createDemoStudy(
  folder: string = join(scratchFolder(), "demo"),
  onEvent: OnEvent = () => true,
): Study {
  return play(createStudy(folder, demoDefinition()), demoEvents(), onEvent);
}

/** The definition of the invented demo of a long build, as its study.json holds it. */
export function ringDefinition(): { readonly name: string } {
  return JSON.parse(read("ring/study.json"));
}

/** The events of the demo of a long build, in order of time. */
export function ringEvents(): readonly StudyEvent[] {
  return parseEvents(read("ring/events.jsonl"), "ring/events.jsonl");
}

/**
 * Plays the invented demo of a long build into a new folder: five attempts at a ring of 200 layers, three lost, one given
 * up, one finished, with incidents, changes and readings, each stamped with its own time.
 *
 * @param folder - default a scratch folder
 * @param onEvent - called after each event; returning false stops there, as if the build were still under way
 * @throws {BeadbenchError} `exists` when the folder holds a study already
 */
export function createRingStudy(
  folder: string = join(scratchFolder(), "ring"),
  onEvent: OnEvent = () => true,
): Study {
  return play(createStudy(folder, ringDefinition()), ringEvents(), onEvent);
}

function play(empty: Study, events: readonly StudyEvent[], onEvent: OnEvent): Study {
  let study = empty;
  for (const event of events) {
    study = applyEvent(study, event, read);
    if (!onEvent(study, event)) break;
  }
  return study;
}
