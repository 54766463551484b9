import { basename, resolve } from "node:path";
import type { Command } from "commander";
import { drawGroupComparison, drawStudyComparison, renderSvg } from "../../charts/index.js";
import { BeadbenchError, onlyDefined, refusalOf } from "../../errors/index.js";
import {
  blockGroups,
  changeGroups,
  compareGroups,
  compareStudies,
  type GroupComparison,
  type LayerSet,
  refusals,
  type StudyComparison,
} from "../../models/index.js";
import {
  comparePresets,
  drawPresetComparison,
  type Preset,
  type PresetComparison,
  parsePreset,
} from "../../presets/index.js";
import type { Study } from "../../study/index.js";
import { answer } from "../answer.js";
import { presetsText } from "../compare-presets-text.js";
import { groupsText, studiesText } from "../compare-text.js";
import { doubtedIn } from "../compared-suspects.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share, wordList } from "../options.js";
import { layersOption, outcomeModelOf, warnOfRefusals } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { isStudyFolder } from "../study-folder.js";
import { presetOf } from "./preset.js";

interface CompareOptions {
  readonly change?: string;
  readonly level: number;
  readonly without?: readonly string[];
  readonly layers?: LayerSet;
  readonly detail?: boolean;
  readonly svg?: string;
  readonly json?: boolean;
}

type Comparison = GroupComparison | StudyComparison | PresetComparison;

export function define(command: Command, io: CommandIo): void {
  command
    .option("--change <what>", "coupons before and after the last change of this, such as tungsten")
    .option("--level <share>", "chance that all ranges of differences hold together", share, 0.95)
    .option("--without <coupons>", "coupons to leave out, parted by commas", wordList)
    .addOption(layersOption())
    .addOption(new OutputOption("--svg <file>", "draw the differences"))
    .option("--detail", "how settings were allowed for, errors and chances")
    .addHelpText("after", HOW)
    .action(async (first: string, words: readonly string[], options: CompareOptions) => {
      const comparison = await compared(io, [first, ...words], options);
      if (options.svg !== undefined) writeText(io, options.svg, await drawn(comparison));
      answer({ io, options, result: comparison, text: () => textOf(comparison, options.detail === true) });
    });
}

const HOW = `
Two days, two cylinders or whatever blocks a study has (the day of logging where it has none called day):
  beadbench compare my-study day=1,4
Before and after a change of equipment:
  beadbench compare my-study --change tungsten
Two presets, or one against what the study recommends now; judged by the study's coupons:
  beadbench compare my-study old.json new.json
Two studies:
  beadbench compare my-study other-study`;

/** What the words ask for, by what they are: studies are folders, presets are files, groups are column=level. */
async function compared(
  io: CommandIo,
  words: readonly string[],
  options: CompareOptions,
): Promise<Comparison> {
  const given = words.findIndex((word) => !isStudyFolder(io, word));
  const folders = given < 0 ? words : words.slice(0, given);
  const others = given < 0 ? [] : words.slice(given);
  const [first, second] =
    folders.length === 1 && others.length === 0 && options.change === undefined && isOther(io, folders[0]!)
      ? [".", folders[0]!]
      : folders;
  if (second !== undefined) return studies(io, [first!, second], { options, others });
  if (first !== undefined && options.change !== undefined) {
    if (others.length > 0) throw unclear(others[0]!);
    return groups(io, first, { options, of: (study) => changeGroups(study, options.change!) });
  }
  const presets = others.filter((word) => /\.json$/i.test(word));
  if (presets.length > 0) return presetsOf(io, first, { files: others, options });
  if (first === undefined) throw nothingNamed(others[0]!);
  if (others.length === 0) throw unclear(undefined);
  return groups(io, first, { options, of: (study) => groupsNamed(study, others) });
}

/** Whether one stands in a study and names another. */
const isOther = (io: CommandIo, folder: string): boolean =>
  isStudyFolder(io, ".") && resolve(io.folder, folder) !== resolve(io.folder);

const HOW_SHORT =
  "name two levels of a block (day=1,4), two presets (old.json new.json), another study's folder, or --change with what was changed";

const unclear = (word: string | undefined): BeadbenchError =>
  new BeadbenchError(
    "bad-argument",
    `${word === undefined ? "compare with what? " : `"${word}": `}${HOW_SHORT}`,
  );

const nothingNamed = (word: string): BeadbenchError =>
  new BeadbenchError(
    "not-found",
    `there is no study in ${word}, and none here: name the study first, as in \`beadbench compare my-study day=1,4\``,
  );

function groupsNamed(study: Study, words: readonly string[]) {
  const parts = words.map((word) => {
    const [column, ...rest] = word.split("=");
    return { word, column: column!.trim(), levels: rest.length === 0 ? [] : wordList(rest.join("=")) };
  });
  const [{ column }] = parts as [(typeof parts)[number]];
  const odd = parts.find((part) => part.column !== column);
  if (odd !== undefined)
    throw new BeadbenchError(
      "bad-argument",
      `"${odd.word}" is not of the same block as "${parts[0]!.word}": ${HOW_SHORT}`,
    );
  if (parts.every(({ levels }) => levels.length === 0)) {
    const refused = refusalOf(() => blockGroups(study, column));
    // A word that is no block may have been meant as a file or a folder.
    if (refused?.message.includes("is no block"))
      throw new BeadbenchError("bad-argument", `${refused.message}; ${HOW_SHORT}`);
  }
  return blockGroups(
    study,
    column,
    parts.flatMap(({ levels }) => levels),
  );
}

function groups(
  io: CommandIo,
  folder: string,
  {
    options,
    of,
  }: { readonly options: CompareOptions; readonly of: (study: Study) => ReturnType<typeof blockGroups> },
): GroupComparison {
  const study = studyAt(io, folder);
  warnOfRefusals(io, refusals(study));
  const { level, without, layers } = options;
  const parted = of(study);
  const chosen = onlyDefined({ without, layers });
  const comparison = compareGroups(study, parted, { level, ...chosen });
  io.doing?.("learning what the coupons say");
  const { a, b, labelOf } = parted;
  const doubted = doubtedIn(study, chosen, {
    isCompared: (coupon) => [a, b].includes(labelOf(coupon) ?? ""),
  });
  return { ...comparison, findings: [...comparison.findings, ...doubted] };
}

function studies(
  io: CommandIo,
  [first, second]: readonly [string, string],
  { options, others }: { readonly options: CompareOptions; readonly others: readonly string[] },
): StudyComparison {
  if (others.length > 0) throw unclear(others[0]!);
  for (const name of ["change", "without"] as const)
    if (options[name] !== undefined)
      throw new BeadbenchError("bad-argument", `--${name} is for one study; name a single folder`);
  const pair = [first, second].map((folder) => studyAt(io, folder)) as [Study, Study];
  for (const study of pair) warnOfRefusals(io, refusals(study));
  const names = [first, second].map((folder) => basename(resolve(io.folder, folder))) as [string, string];
  const { level, layers } = options;
  const comparison = compareStudies(pair[0], pair[1], { level, names, ...onlyDefined({ layers }) });
  if (comparison.results === undefined && comparison.effects.length === 0) return comparison;
  io.doing?.("learning what the coupons say");
  const doubted = pair.flatMap((study, i) =>
    doubtedIn(study, onlyDefined({ layers }), { isCompared: () => true, name: names[i]! }),
  );
  return { ...comparison, findings: [...comparison.findings, ...doubted] };
}

async function presetsOf(
  io: CommandIo,
  folder: string | undefined,
  { files, options }: { readonly files: readonly string[]; readonly options: CompareOptions },
): Promise<PresetComparison> {
  const { without, layers } = options;
  const [one, other, more] = files;
  if (more !== undefined || (other === undefined && folder === undefined)) throw unclear(more ?? one);
  const read = async (path: string): Promise<Preset> => parsePreset(await readText(io, path), path);
  const first = await read(one!);
  const chosen = onlyDefined({ without, layers });
  const study = folder === undefined ? undefined : studyAt(io, folder);
  const second = other === undefined ? presetOf(io, study!, chosen) : await read(other);
  const names = [basename(one!, ".json"), other === undefined ? "now" : basename(other, ".json")] as const;
  return comparePresets(first, second, {
    names: names[0] === names[1] ? [one!, other ?? "now"] : names,
    ...(study === undefined ? {} : { model: outcomeModelOf(io, study, chosen) }),
  });
}

async function drawn(comparison: Comparison): Promise<string> {
  const chart =
    comparison.kind === "groups"
      ? drawGroupComparison(comparison)
      : comparison.kind === "studies"
        ? drawStudyComparison(comparison)
        : drawPresetComparison(comparison);
  if (chart === undefined)
    throw new BeadbenchError(
      "not-enough-data",
      "no result with numbers could be compared, so there is nothing to draw",
    );
  return renderSvg(chart);
}

function textOf(comparison: Comparison, detail: boolean): string {
  switch (comparison.kind) {
    case "groups":
      return groupsText(comparison, detail);
    case "studies":
      return studiesText(comparison, detail);
    case "presets":
      return presetsText(comparison);
  }
}
