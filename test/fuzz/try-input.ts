import { randomStream } from "../../lib/numeric/index.js";
import { commandLine } from "../cli/run.js";
import { attempt, type Outcome, type Place, setOut, type Trial } from "./attempt.js";
import { kinds } from "./kinds/index.js";
import { scriptsOf } from "./page-faults.js";
import { filesOf, makeSeeds, type Seeds } from "./seeds.js";

/** One input of many: the same three words make the same input on any machine. */
export interface InputName {
  readonly kind: string;
  readonly seed: number;
  readonly index: number;
}

export function inputOf(seeds: Seeds, { kind, seed, index }: InputName): Trial {
  const make = kinds.get(kind);
  if (make === undefined)
    throw new Error(`no kind is called ${kind}; there are ${[...kinds.keys()].join(", ")}`);
  return make(randomStream(seed).split(kind).split(index), seeds);
}

/** Makes the seeds below a folder, and learns which scripts the pages bring of their own. */
export async function makePlace(root: string): Promise<Place> {
  const seeds = await makeSeeds(root);
  const folder = setOut({ root, seeds }, {});
  const { status, notes } = await commandLine(folder).run("report", "plain", "--html", "p.html");
  if (status !== 0) throw new Error(notes);
  const pages = Object.values(filesOf(folder)).map(String);
  return { root, seeds, scripts: new Set(pages.flatMap(scriptsOf)) };
}

export const tryInput = (place: Place, name: InputName): Promise<Outcome> =>
  attempt(place, inputOf(place.seeds, name));

/** Puts an input where it can be looked at, with the lines that are asked. */
export const layOut = (place: Place, name: InputName): { readonly folder: string; readonly trial: Trial } => {
  const trial = inputOf(place.seeds, name);
  return { folder: setOut(place, trial.files), trial };
};
