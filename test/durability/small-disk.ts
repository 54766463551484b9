/** A file system in memory, of one megabyte, filled to the brim. */
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { verifyJournal } from "../../lib/study/journal/index.js";
import {
  appendEntries,
  attachFile,
  createStudy,
  openStudy,
  type Study,
  verifyAttachments,
} from "../../lib/study/record/index.js";
import { longDefinition } from "./long-study.js";

/** Fills a small disk with entries and files until nothing more is taken, makes room, and goes on; then makes it read-only. */
export function fillDisk(times: number): { readonly tried: number; readonly faults: readonly string[] } {
  const disk = mkdtempSync(join(tmpdir(), "beadbench-small-"));
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=1m", "tmpfs", disk], { stdio: "ignore" });
  } catch {
    return { tried: 0, faults: ["a disk cannot be mounted here: needs more rights"] };
  }
  const faults: string[] = [];
  let tried = 0;
  try {
    for (let turn = 0; turn < times; turn++) {
      const folder = join(disk, "study");
      let study = createStudy(folder, longDefinition);
      const photo = join(disk, "..", "beadbench-photo.jpg");
      writeFileSync(photo, "x".repeat(30_000 + 7000 * turn));
      const refused = { count: 0 };
      for (let step = 0; refused.count < 12; step++) {
        writeFileSync(photo, `${step} `.repeat(4000 + 1000 * turn));
        study = attempt(study, refused, () =>
          step % 3 === 0 ? attachFile(study, photo) : appendEntries(study, notes(step)),
        );
        tried++;
      }
      const owed = study.entries.map(({ hash }) => hash);
      faults.push(...wrong(folder, owed, "on the full disk"));
      const photos = readdirSync(join(folder, "attachments"));
      const named = new Set(study.entries.map((entry) => (entry.kind === "attached" ? entry.file : "")));
      for (const name of photos) if (!named.has(name)) rmSync(join(folder, "attachments", name));
      execFileSync("mount", ["-o", "remount,size=2m", disk]);
      study = appendEntries(openStudy(folder), [{ kind: "note", text: "there is room again" }]);
      owed.push(study.entries.at(-1)!.hash);
      faults.push(...wrong(folder, owed, "with room again"));
      execFileSync("mount", ["-o", "remount,ro", disk]);
      if (refusalOf(() => appendEntries(study, notes(0))) !== "EROFS")
        faults.push("a read-only disk is not told");
      faults.push(...wrong(folder, owed, "on the read-only disk"));
      execFileSync("mount", ["-o", "remount,rw,size=1m", disk]);
      rmSync(folder, { recursive: true });
      if (refusalOf(() => appendEntries(study, notes(0))) === undefined)
        faults.push("a folder that vanished is not told");
    }
  } finally {
    execFileSync("umount", [disk]);
  }
  return { tried, faults };
}

const notes = (step: number) =>
  Array.from(
    { length: 1 + (step % 5) },
    (_, i) => ({ kind: "note", text: `${step} ${i} `.repeat(60).trim() }) as const,
  );

function attempt(study: Study, refused: { count: number }, work: () => Study): Study {
  try {
    return work();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOSPC") throw error;
    refused.count++;
    return study;
  }
}

function refusalOf(work: () => unknown): string | undefined {
  try {
    work();
    return undefined;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code;
  }
}

function wrong(folder: string, owed: readonly string[], when: string): readonly string[] {
  const study = openStudy(folder);
  const found = new Set(study.entries.map(({ hash }) => hash));
  const lost = owed.filter((hash) => !found.has(hash)).length;
  return [
    ...(lost > 0 ? [`${lost} acknowledged entries are lost ${when}`] : []),
    ...(found.size > owed.length ? [`${found.size - owed.length} refused entries are there ${when}`] : []),
    ...verifyJournal(folder).faults.map(({ message }) => message),
    ...verifyAttachments(study).map(({ message }) => message),
  ];
}
