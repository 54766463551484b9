/** Work on studies that may be cut off by a loss of power at any call, and what must be true afterwards. */
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { writeText } from "../../lib/cli/files.js";
import { verifyJournal } from "../../lib/study/journal/index.js";
import {
  appendEntries,
  attachFile,
  createStudy,
  openStudy,
  recoverStudy,
  type Study,
  verifyAttachments,
} from "../../lib/study/record/index.js";
import { mergeStudy } from "../../lib/study/share/index.js";
import { type Luck, layOut, record } from "./disk.js";
import { longDefinition } from "./long-study.js";

/** Something to be found in the folder after the cut, as it was promised. */
export type Promised = (folder: string) => string | undefined;

export interface Scenario {
  readonly name: string;
  /** Makes what is there before, all on disk. */
  readonly prepare: (folder: string) => void;
  readonly work: (folder: string, promise: (what: Promised) => void) => void;
  /** Where there may be a study afterwards. */
  readonly study: string;
}

const log = (width: number) =>
  ({ kind: "logged", values: { current: 120, travel_speed: 100, bead_width: width } }) as const;
const clock = () => new Date("2026-03-02T08:30:00Z");

/** Every entry of a study as it stands now is to be found in the folder of this name. */
function entriesOf({ entries }: Study, name: string): Promised {
  const owed = entries.map(({ hash }) => hash);
  return (folder) => {
    const found = new Set(openStudy(join(folder, name)).entries.map(({ hash }) => hash));
    const lost = owed.filter((hash) => !found.has(hash));
    return lost.length === 0 ? undefined : `${lost.length} of ${owed.length} acknowledged entries are lost`;
  };
}

const made = (folder: string, name = "study"): Study =>
  appendEntries(createStudy(join(folder, name), longDefinition), [log(5), log(6)], { clock });

export const scenarios: readonly Scenario[] = [
  {
    name: "a study is begun, and logged to",
    prepare: () => {},
    work: (folder, promise) => {
      let study = createStudy(join(folder, "study"), longDefinition);
      promise(entriesOf(study, "study"));
      for (const width of [5, 6]) {
        study = appendEntries(study, [log(width)], { clock });
        promise(entriesOf(study, "study"));
      }
    },
    study: "study",
  },
  {
    name: "the first writer was killed before the name of the journal was on disk",
    prepare: () => {},
    work: (folder, promise) => {
      const study = createStudy(join(folder, "study"), longDefinition);
      writeFileSync(join(folder, "study", "journal.jsonl"), "");
      promise(entriesOf(appendEntries(study, [log(5)], { clock }), "study"));
    },
    study: "study",
  },
  {
    name: "forty coupons are logged together",
    prepare: made,
    work: (folder, promise) => {
      const group = Array.from({ length: 40 }, (_, i) => log(4 + i / 50));
      promise(entriesOf(appendEntries(openStudy(join(folder, "study")), group, { clock }), "study"));
    },
    study: "study",
  },
  {
    name: "an unfinished end is set aside",
    prepare: (folder) => {
      made(folder);
      const path = join(folder, "study", "journal.jsonl");
      writeFileSync(path, `${readFileSync(path, "utf8")}{"seq":3,"time":"2026-`);
    },
    work: (folder, promise) => {
      const study = openStudy(join(folder, "study"), { clock });
      promise(entriesOf(study, "study"));
      promise(entriesOf(appendEntries(study, [log(7)], { clock }), "study"));
    },
    study: "study",
  },
  {
    name: "files are attached, two of one name",
    prepare: (folder) => {
      made(folder);
      rmSync(join(folder, "study", "attachments"), { recursive: true });
      for (const place of ["a", "b"]) {
        mkdirSync(join(folder, place));
        writeFileSync(join(folder, place, "bead.jpg"), place.repeat(3000));
      }
    },
    work: (folder, promise) => {
      let study = openStudy(join(folder, "study"));
      for (const place of ["a", "b", "a"]) {
        study = attachFile(study, join(folder, place, "bead.jpg"), { clock });
        promise(entriesOf(study, "study"));
      }
    },
    study: "study",
  },
  {
    name: "a copy is merged, with a photo",
    prepare: (folder) => {
      const own = made(folder);
      cpSync(own.folder, join(folder, "other"), { recursive: true });
      writeFileSync(join(folder, "bead.jpg"), "x".repeat(3000));
      appendEntries(own, [log(4)], { clock });
      const other = appendEntries(openStudy(join(folder, "other")), [log(8), log(9)], { clock });
      attachFile(other, join(folder, "bead.jpg"), { clock });
    },
    work: (folder, promise) => {
      const { study } = mergeStudy(join(folder, "study"), join(folder, "other"), { clock });
      promise(entriesOf(study, "study"));
      promise(entriesOf(appendEntries(study, [log(7)], { clock }), "study"));
    },
    study: "study",
  },
  {
    name: "a damaged study is recovered",
    prepare: (folder) => {
      const { folder: path } = made(folder, "damaged");
      writeFileSync(join(folder, "bead.jpg"), "x".repeat(3000));
      attachFile(openStudy(path), join(folder, "bead.jpg"), { clock });
      const journal = join(path, "journal.jsonl");
      writeFileSync(journal, readFileSync(journal, "utf8").replace('"bead_width":5', '"bead_width":9'));
    },
    work: (folder, promise) => {
      promise(
        entriesOf(recoverStudy(join(folder, "damaged"), join(folder, "study"), { clock }).study, "study"),
      );
    },
    study: "study",
  },
  {
    name: "a result is written over an older one",
    prepare: (folder) => {
      made(folder);
      writeFileSync(join(folder, "preset.json"), "old".repeat(500));
    },
    work: (folder, promise) => {
      const io = { folder, note: () => {} };
      writeText(io as never, "preset.json", "new".repeat(500));
      promise((after) =>
        readFileSync(join(after, "preset.json"), "utf8").startsWith("new")
          ? undefined
          : "the new result is not there",
      );
    },
    study: "study",
  },
];

/** What is not as it must be, in words; empty when all is well. */
function faultsAfter(
  folder: string,
  before: string,
  scenario: Scenario,
  promised: readonly Promised[],
): readonly string[] {
  const faults: string[] = [];
  const path = join(folder, scenario.study);
  // Whoever held the lock is gone with the power.
  if (existsSync(path))
    for (const name of readdirSync(path)) if (name.startsWith("journal.lock")) rmSync(join(path, name));
  for (const name of readdirSync(before, { recursive: true, encoding: "utf8" })) {
    if (!existsSync(join(folder, name))) faults.push(`${name} is gone`);
  }
  const result = join(folder, "preset.json");
  if (existsSync(result) && !/^((old){500}|(new){500})$/.test(readFileSync(result, "utf8")))
    faults.push("preset.json is neither the old nor the new one");
  if (!existsSync(join(path, "study.json"))) {
    if (promised.length > 0) faults.push("the study is gone");
    return faults;
  }
  const study = openStudy(path, { clock });
  for (const { code } of study.integrity) if (code !== "journal-torn") faults.push(`opens with ${code}`);
  for (const { message } of verifyAttachments(study)) faults.push(message);
  for (const owed of promised) faults.push(...[owed(folder) ?? []].flat());
  const widths = study.coupons.length;
  if (scenario.name.startsWith("forty") && widths !== 2 && widths !== 42)
    faults.push(`${widths} coupons: neither none nor all of the group`);
  const after = appendEntries(study, [log(5.5)], { clock });
  if (after.coupons.length !== widths + 1) faults.push("cannot be logged to");
  faults.push(...verifyJournal(path).faults.map(({ message }) => message));
  return faults;
}

/** What cutting the power of a scenario at each call came to. */
export interface Cuts {
  readonly tried: number;
  readonly faults: readonly string[];
}

/** Cuts the power before each call of a scenario and after the last, so many times each with other luck. */
export function cutEverywhere(scenario: Scenario, lucks: readonly (() => Luck)[]): Cuts {
  const base = mkdtempSync(join(tmpdir(), "beadbench-power-"));
  const [live, before] = [join(base, "live"), join(base, "before")];
  mkdirSync(live);
  scenario.prepare(live);
  cpSync(live, before, { recursive: true });
  const recording = record<Promised>(live, (promise) => scenario.work(live, promise));
  const faults: string[] = [];
  let tried = 0;
  for (let cut = 0; cut <= recording.steps.length; cut++) {
    for (const luck of lucks) {
      const folder = join(base, "after");
      layOut(recording, { cut, luck: luck(), into: folder });
      const promised = recording.acknowledged.filter(({ after }) => after <= cut).map(({ what }) => what);
      let found: readonly string[];
      try {
        found = faultsAfter(folder, before, scenario, promised);
      } catch (error) {
        found = [`threw ${(error as Error).message}`];
      }
      faults.push(
        ...found.map(
          (fault) => `${scenario.name}, cut at call ${cut} of ${recording.steps.length}: ${fault}`,
        ),
      );
      rmSync(folder, { recursive: true });
      tried++;
    }
  }
  rmSync(base, { recursive: true });
  return { tried, faults };
}
