import { type Command, Option } from "commander";
import { BeadbenchError, type Finding, onlyDefined } from "../errors/index.js";
import {
  agreementFindings,
  believedPriors,
  buildOutcomeModel,
  compareModels,
  fitStudy,
  type LayerSet,
  type OlderStudy,
  type OutcomeModel,
  type OutcomeModelOptions,
  outcomeData,
  refusals,
  type StudyFit,
  selectLayers,
} from "../models/index.js";
import {
  type KnownSetting,
  type PublishedTable,
  readKnownSetting,
  readPublishedTable,
  requireCoupons,
  type Study,
  type StudyData,
  type StudyDefinition,
} from "../study/index.js";
import type { Recommendation } from "../window/index.js";
import { readBytes, studyAt } from "./files.js";
import type { CommandIo } from "./io.js";
import { gather, wordList } from "./options.js";
import { isStudyFolder } from "./study-folder.js";
import { findingsText } from "./text.js";

/** What the commands that need an outcome model have in common. */
export interface OutcomeOptions {
  /** Coupons left out. */
  readonly without?: readonly string[];
  /** Settings that ran before, in the user's words. */
  readonly like?: readonly string[];
  /** Folder of an older study to start from, or file of a published table. */
  readonly older?: string;
  /** Which coupons: those on first layers or on walls. Default: the set with more of them. */
  readonly layers?: LayerSet;
}

/** The option that asks for coupons on first layers or on walls. */
export function layersOption(): Option {
  return new Option(
    "--layers <set>",
    "coupons on the base and layers 1 to 3 (first), or from layer 4 on (wall); a coupon says its layer in a column `layer` (default: the set with more coupons)",
  ).choices(["first", "wall"]);
}

/** The option that tells of settings that ran before. */
export function likeOption(): Option {
  return new Option(
    "--like <text>",
    'a setting that ran before and how, once for each: "150 A, 1.2 m/min, good"; settings not named count as not known, and it counts for less than a logged coupon (to keep it: `known` in study.json)',
  ).argParser(gather);
}

/** Adds the options that tell what is known from before: of settings that ran, and of an older study. */
export function withEarlierOptions(command: Command): Command {
  return command
    .addOption(likeOption())
    .option(
      "--older <study>",
      "an older study to start from (another wire, diameter or base), or a CSV file with a published table; it is forgotten as far as the new coupons disagree",
    );
}

/** Adds the options of {@link OutcomeOptions} to a command. */
export function withOutcomeOptions(command: Command): Command {
  return withEarlierOptions(
    command
      .option("--without <coupons>", "coupons to leave out, parted by commas", wordList)
      .addOption(layersOption()),
  );
}

/** The coupons that an outcome model is built from, and how. */
export interface OutcomeBasis extends StudyData {
  /** What was left out. */
  readonly findings: readonly Finding[];
  readonly choices: OutcomeModelOptions;
}

/** The study's outcome model, of first layers or of walls; what the check refuses is said first. */
export function outcomeModelOf(io: CommandIo, study: Study, options: OutcomeOptions = {}): OutcomeModel {
  const basis = checkedBasis(io, study, options);
  io.doing?.("learning what the coupons say");
  return modelFrom(basis);
}

/** The basis of a study whose check was not told yet: what it refuses is said, since a model might believe it. */
export function checkedBasis(io: CommandIo, study: Study, options: OutcomeOptions): OutcomeBasis {
  warnOfRefusals(io, refusals(study));
  return outcomeBasis(io, study, options);
}

/** The outcome model of a basis; where its coupons were very unlikely by the physics assumed, that counts for less. */
export function modelFrom({ findings, choices, ...data }: OutcomeBasis): OutcomeModel {
  // What an older study brings has its own way of being forgotten.
  const believed = choices.older === undefined ? believedPriors(data) : undefined;
  const priors = believed === undefined || believed.widened === 1 ? {} : { priors: believed.priors };
  const model = buildOutcomeModel(data, { ...choices, ...priors });
  return { ...model, findings: [...findings, ...(believed?.findings ?? []), ...model.findings] };
}

/** A setting that ran before, from the words of `--like`. */
function knownSettingOf(definition: StudyDefinition, said: string): KnownSetting {
  const read = readKnownSetting(definition, said);
  if (typeof read === "string") throw new BeadbenchError("bad-argument", `--like "${said}" ${read}`);
  return read;
}

/** The basis of a study whose check was told already. */
export function outcomeBasis(io: CommandIo, study: Study, options: OutcomeOptions): OutcomeBasis {
  const { without, layers: wanted } = options;
  requireCoupons(study, without ?? []);
  const { layers, ...data } = outcomeData(study, onlyDefined({ without, layers: wanted }));
  const older = options.older === undefined ? undefined : olderAt({ io, study, path: options.older, layers });
  return {
    ...data,
    findings: [...data.findings, ...(older?.findings ?? [])],
    choices: {
      known: (options.like ?? []).map((said) => knownSettingOf(study.definition, said)),
      ...(older === undefined ? {} : { older: older.study }),
    },
  };
}

/** The forms fitted to a study's coupons; undefined where they are too few for any. */
export function fitIfAny(study: Study, { without, layers }: OutcomeOptions): StudyFit | undefined {
  try {
    return fitStudy(study, onlyDefined({ without, layers }));
  } catch (error) {
    if (error instanceof BeadbenchError && error.code === "not-enough-data") return undefined;
    throw error;
  }
}

/** A recommendation that also says how its model and the forms of `fit` foresee settings that neither has seen. */
export function withAgreement(
  { choices, ...data }: OutcomeBasis,
  recommendation: Recommendation,
  fit: StudyFit | undefined,
): Recommendation {
  if (fit === undefined) return recommendation;
  const comparisons = compareModels(data, fit, choices);
  return { ...recommendation, findings: [...recommendation.findings, ...agreementFindings(comparisons)] };
}

/** An older study's coupons on the same layers, which is all that compares; or the beads of a published table. */
function olderAt({
  io,
  study,
  path,
  layers,
}: {
  readonly io: CommandIo;
  readonly study: Study;
  readonly path: string;
  readonly layers: LayerSet;
}): { readonly study: OlderStudy; readonly findings: readonly Finding[] } {
  if (isStudyFolder(io, path) || !/\.(csv|tsv|txt)$/i.test(path)) {
    const { definition, coupons } = studyAt(io, path);
    return { study: { definition, coupons: selectLayers({ coupons }, layers).coupons }, findings: [] };
  }
  const table = readPublishedTable(study.definition, readBytes(io, path), { file: path });
  return { study: table, findings: [tableFinding(path, table)] };
}

function tableFinding(path: string, { coupons, source }: PublishedTable): Finding {
  return {
    code: "published-table",
    severity: source === undefined ? "warning" : "info",
    message: `started from ${coupons.length} beads of ${path}, ${source ?? "of which the file names no source"}; how far that rig lies off this one is not known, and your own coupons tell`,
    advice:
      source === undefined
        ? "write # source: author, title, page into its first line"
        : "leave it out once a dozen coupons of your own are logged, and see whether the answer changes",
  };
}

/** Says on the notes when the check refuses the study's coupons. */
export function warnOfRefusals(io: CommandIo, refused: readonly Finding[]): void {
  if (refused.length === 0) return;
  io.note(
    `Mind: \`beadbench check\` refuses these coupons, so what follows may rest on wrong numbers.\n${findingsText(refused)}\n`,
  );
}
