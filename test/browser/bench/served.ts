import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import {
  appendEntries,
  createDemoStudy,
  type Entry,
  openStudy,
  type Study,
} from "../../../lib/study/index.js";

const main = fileURLToPath(new URL("../../../dist/cli/main.js", import.meta.url));

/** The demo study with coupons planned at the settings of its best ones. */
export function plannedStudy(): Study {
  const study = createDemoStudy(join(mkdtempSync(join(tmpdir(), "bench-page-")), "study"));
  const settings = study.coupons.filter(({ state }) => state === "logged").slice(-8);
  return appendEntries(
    study,
    settings.map(({ settings: values }) => ({ kind: "planned", values, role: "confirm" })),
  );
}

/** Entries of a study's journal as it stands. */
export const entriesOf = (study: Study): readonly Entry[] => openStudy(study.folder).entries;

/** The program serving a study's bench page. */
export interface Served {
  readonly url: string;
  /** What it said on the notes, such as a code. */
  notes(): string;
  stop(): Promise<void>;
}

/** Starts the compiled program and waits until it serves. */
export async function serveStudy(study: Study, ...options: readonly string[]): Promise<Served> {
  const child: ChildProcess = spawn(process.execPath, [main, "bench", study.folder, "--json", ...options], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let out = "";
  let notes = "";
  child.stderr!.setEncoding("utf8").on("data", (part: string) => {
    notes += part;
  });
  const gone = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout!.setEncoding("utf8").on("data", (part: string) => {
      out += part;
      if (out.includes("}")) resolve((JSON.parse(out) as { readonly url: string }).url);
    });
    child.once("exit", () => reject(new Error(`the bench did not start: ${notes}`)));
  });
  return {
    url,
    notes: () => notes,
    async stop() {
      child.kill("SIGINT");
      await gone;
    },
  };
}
