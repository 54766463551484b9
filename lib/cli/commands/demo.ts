import { existsSync, readFileSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import type { Command } from "commander";
import { drawConformance, renderSvg } from "../../charts/index.js";
import { BeadbenchError } from "../../errors/index.js";
import { checkStudy } from "../../models/index.js";
import { counted, percent } from "../../numeric/index.js";
import { formatPreset } from "../../presets/index.js";
import { composeStudyReport, renderReport } from "../../report/index.js";
import { createDemoStudy, demoDefinition, ringDefinition, type Study } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { plainPreset } from "../plain-window.js";
import { resultsData, studyResults } from "../results.js";
import { playRing } from "../ring-demo.js";
import { findingsText, wrap } from "../text.js";
import { plainFitText } from "./fit.js";

interface DemoOptions extends AnswerOptions {
  readonly ring?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--ring", "the demo of a long build instead: five attempts at a ring of 200 layers, and the next")
    .action(async (given: string | undefined, options: DemoOptions) => {
      if (options.ring === true) await showRing(io, given ?? join("out", "ring"), options);
      else await showLoop(io, given ?? "out", options);
    });
}

/** Plays the demo of a long build, in place of an earlier one. */
async function showRing(io: CommandIo, folder: string, options: DemoOptions): Promise<void> {
  const at = (name: string): string => {
    const target = resolve(io.folder, folder, name);
    removeOldDemo(target, join(folder, name), ringDefinition().name);
    return target;
  };
  const { text, result } = await playRing(io, folder, at);
  answer({ io, options, result, text: () => text });
}

async function showLoop(io: CommandIo, folder: string, options: DemoOptions): Promise<void> {
  // The story is told while it plays; with --json it goes to the notes.
  const say = options.json === true ? io.note : io.out;
  const study = playStudy(io, say, join(folder, "study"));
  const results = studyResults(io, study);
  const { fit, window, preset, remarks } = results;
  say(`\n-- Fit --\n\n${fit === undefined ? "" : plainFitText(study, fit)}`);
  say(`\n-- Preset --\n\n${preset === undefined ? "" : plainPreset(preset, study.definition)}\n`);
  const wrote: string[] = [];
  const write = (name: string, content: string): void => {
    wrote.push(join(folder, name));
    writeText(io, join(folder, name), content);
  };
  write("report.html", await renderReport(composeStudyReport(results)));
  if (preset !== undefined) write("preset.json", formatPreset(preset));
  const map = window === undefined ? undefined : drawConformance(study, window);
  if (map !== undefined) write("window.svg", await renderSvg(map));
  for (const remark of remarks) io.note(`${remark}\n`);
  answer({
    io,
    options,
    result: { wrote, ...resultsData(results) },
    text: () =>
      `\nOpen ${join(folder, "report.html")} for the whole picture. The study itself is in ${join(folder, "study")}; try\n  node dist/cli/main.js next ${join(folder, "study")} --coupons 6 --dry\n`,
  });
}

/** Plays the four days, stopping to check when the record would be refused. */
function playStudy(io: CommandIo, say: CommandIo["out"], folder: string): Study {
  const target = resolve(io.folder, folder);
  removeOldDemo(target, folder, demoDefinition().name);
  say(
    `${wrap(`Demo study "${demoDefinition().name}": all data are invented. A two-person shop rebuilds stainless wear rings by TIG with cold wire.`)}\n\n`,
  );
  let refused = false;
  const study = createDemoStudy(target, (sofar, event) => {
    if ("import" in event) {
      const check = checkStudy(sofar);
      say(`${event.import}: ${counted(check.counts.logged, "coupon")} logged so far\n`);
      if (check.refused) {
        const grave = check.findings.filter(({ severity }) => severity === "error");
        say(`The check refuses them:\n${findingsText(grave)}`);
      } else if (refused) say("The corrections are logged; the check passes again.\n");
      refused = check.refused;
    }
    return true;
  });
  const check = checkStudy(study);
  const scatter = check.pureErrors.map(({ response, cv }) => `${response} ${percent(cv, 1)}`).join(", ");
  say(
    `\n-- Check --\n\n${study.entries.length} journal entries; repeats scatter by ${scatter}\n${findingsText(check.findings)}`,
  );
  return study;
}

/** Removes an earlier demo study; anything else in its place is left alone. */
function removeOldDemo(target: string, shown: string, name: string): void {
  if (!existsSync(target)) return;
  const path = join(target, "study.json");
  const found = existsSync(path)
    ? (JSON.parse(readFileSync(path, "utf8")) as { name?: unknown }).name
    : undefined;
  if (found !== name) {
    throw new BeadbenchError(
      "exists",
      `${shown} exists and is not the demo study; name another folder: beadbench demo <folder>`,
    );
  }
  rmSync(target, { recursive: true });
}
