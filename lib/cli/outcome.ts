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
import { requireCoupons, type Study, type StudyData } from "../study/index.js";
import type { Recommendation } from "../window/index.js";
import { studyAt } from "./files.js";
import type { CommandIo } from "./io.js";
import { wordList } from "./options.js";
import { findingsText } from "./text.js";

/** What the commands that need an outcome model have in common. */
export interface OutcomeOptions {
  /** Coupons left out. */
  readonly without?: readonly string[];
  /** Folder of an older study to start from. */
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

/** Adds the options of {@link OutcomeOptions} to a command. */
export function withOutcomeOptions(command: Command): Command {
  return command
    .option("--without <coupons>", "coupons to leave out, parted by commas", wordList)
    .addOption(layersOption())
    .option(
      "--older <study>",
      "an older study to start from (another wire, diameter or base); it is forgotten as far as the new coupons disagree",
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

/** The basis of a study whose check was told already. */
export function outcomeBasis(io: CommandIo, study: Study, options: OutcomeOptions): OutcomeBasis {
  const { without, layers: wanted } = options;
  requireCoupons(study, without ?? []);
  const { layers, ...data } = outcomeData(study, onlyDefined({ without, layers: wanted }));
  return {
    ...data,
    choices: options.older === undefined ? {} : { older: olderStudyAt(io, options.older, layers) },
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

/** An older study's coupons on the same layers, which is all that compares. */
function olderStudyAt(io: CommandIo, folder: string, layers: LayerSet): OlderStudy {
  const { definition, coupons } = studyAt(io, folder);
  return { definition, coupons: selectLayers({ coupons }, layers).coupons };
}

/** Says on the notes when the check refuses the study's coupons. */
export function warnOfRefusals(io: CommandIo, refused: readonly Finding[]): void {
  if (refused.length === 0) return;
  io.note(
    `Mind: \`beadbench check\` refuses these coupons, so what follows may rest on wrong numbers.\n${findingsText(refused)}\n`,
  );
}
