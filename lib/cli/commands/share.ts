import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { counted } from "../../numeric/index.js";
import { formatPreset, parsePreset } from "../../presets/index.js";
import type { Study } from "../../study/index.js";
import { type PrivatePart, privateParts, type SharedStudy, shareStudy } from "../../study/share/index.js";
import { type AnswerOptions, answer, jsonText } from "../answer.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { wordList } from "../options.js";
import { OutputOption } from "../output-option.js";

interface ShareCommandOptions extends AnswerOptions {
  readonly to?: string;
  readonly preset?: string;
  readonly with?: readonly string[];
}

export function define(command: Command, io: CommandIo): void {
  command
    .addOption(new OutputOption("--to <file>", "file to write; without it, only says what would go"))
    .option("--preset <file>", "a preset from `preset --json` to go with it")
    .option("--with <parts>", `what else is to go: ${privateParts.join(", ")}`, wordList)
    .addHelpText(
      "after",
      `
One JSON file, opened with \`beadbench open\`. Files and photos never go; what was written freely, names of blocks and prices go only
with --with. Names of coupons, columns and levels go as they stand: look over what it says.`,
    )
    .action(async (folder: string, options: ShareCommandOptions) => {
      const study = studyAt(io, folder);
      const parts = (options.with ?? []).map(partOf);
      const { preset: file } = options;
      const preset =
        file === undefined ? undefined : sharedPreset(study, await readText(io, file), { file, parts });
      const shared: SharedStudy = {
        ...shareStudy(study, parts),
        ...(preset === undefined ? {} : { preset }),
      };
      if (options.to !== undefined) writeText(io, options.to, jsonText(shared));
      if (options.to === "-") return;
      const goes = whatGoes(study, shared, parts);
      answer({
        io,
        options,
        result: { goes, leftOut: shared.leftOut },
        text: () => shareText(goes, shared, options.to),
      });
    });
}

function partOf(word: string): PrivatePart {
  const part = privateParts.find((known) => known === word);
  if (part !== undefined) return part;
  throw new BeadbenchError("bad-argument", `--with takes ${privateParts.join(" and ")}, got "${word}"`);
}

/** A preset to go with a study, and the entry of it that it was made from. */
function sharedPreset(
  study: Study,
  text: string,
  { file, parts }: { readonly file: string; readonly parts: readonly PrivatePart[] },
): NonNullable<SharedStudy["preset"]> {
  const { rig, ...preset } = parsePreset(text, file);
  const { journal, ...basis } = preset.basis;
  const kept = shareStudy(study, parts).entries.length;
  const made = study.entries.findIndex(({ hash }) => hash === journal);
  const after = study.entries
    .slice(made + 1)
    .filter(({ kind }) => kind !== "attached" && (parts.includes("text") || kind !== "note"));
  const content = { ...preset, ...(parts.includes("text") && rig !== undefined ? { rig } : {}), basis };
  if (!parts.includes("text")) requireUnnamed(study, formatPreset(content), file);
  return {
    content: JSON.parse(formatPreset(content)) as unknown,
    ...(made < 0 ? {} : { madeFrom: kept - after.length }),
  };
}

/** Findings of a preset may name blocks, which get numbers in the study: names would go with it all the same. */
function requireUnnamed({ coupons }: Study, preset: string, file: string): void {
  const names = new Set(
    coupons.flatMap(({ blocks }) => Object.values(blocks)).filter((name) => /\p{L}{2}/u.test(name)),
  );
  const named = [...names].find((name) => preset.includes(JSON.stringify(name).slice(1, -1)));
  if (named === undefined) return;
  throw new BeadbenchError(
    "refused",
    `${file} names "${named}", a block, which is private; share the study without the preset, or with all text by --with text`,
  );
}

function whatGoes(
  study: Study,
  { entries, preset }: SharedStudy,
  parts: readonly PrivatePart[],
): readonly string[] {
  const { coupons, definition, incidents, changes, buildSteps } = study;
  const levels = definition.factors.flatMap(({ kind, levels: own = [] }) => (kind === "category" ? own : []));
  return [
    `the definition of "${definition.name}": ${[...definition.factors, ...definition.responses].map(({ name }) => name).join(", ")}`,
    ...(levels.length === 0 ? [] : [`levels ${levels.join(", ")}`]),
    `${counted(entries.length, "entry", "entries")}: ${counted(coupons.length, "coupon")}${coupons.length === 0 ? "" : ` (${coupons[0]!.id} to ${coupons.at(-1)!.id})`}, ${counted(incidents.length, "incident")}, ${counted(changes.length, "change")}, ${counted(buildSteps.length, "step")} of builds, with their times`,
    ...(preset === undefined ? [] : ["the preset"]),
    ...parts.map((part) => (part === "text" ? "all that was written freely" : "prices")),
  ];
}

function shareText(goes: readonly string[], { leftOut }: SharedStudy, to: string | undefined): string {
  return [
    to === undefined ? "Would go:" : "Went:",
    ...goes.map((what) => `  ${what}`),
    "Left out:",
    ...leftOut.map((what) => `  ${what}`),
    ...(to === undefined ? ["Nothing was written: name a file with --to."] : []),
    "",
  ].join("\n");
}
