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
  onEvent: (study: Study, event: StudyEvent) => boolean = () => true,
): Study {
  let study = createStudy(folder, demoDefinition());
  for (const event of demoEvents()) {
    study = applyEvent(study, event, read);
    if (!onEvent(study, event)) break;
  }
  return study;
}
