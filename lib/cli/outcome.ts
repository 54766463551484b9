import { type Command, Option } from "commander";
import { BeadbenchError, onlyDefined } from "../errors/index.js";
import {
  agreementFindings,
  buildOutcomeModel,
  checkStudy,
  compareModels,
  fitStudy,
  type LayerSet,
  type OlderStudy,
  type OutcomeModel,
  type StudyCheck,
  type StudyFit,
  selectLayers,
  soundCoupons,
} from "../models/index.js";
import { requireCoupons, type Study } from "../study/index.js";
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

/**
 * The study's outcome model, of first layers or of walls; what the check refuses is said first, since the model would
 * believe it.
 */
export function outcomeModelOf(io: CommandIo, study: Study, options: OutcomeOptions = {}): OutcomeModel {
  warnOfRefusals(io, checkStudy(study));
  return checkedModelOf(io, study, options);
}

/** The outcome model of a study whose check was told already. */
export function checkedModelOf(io: CommandIo, study: Study, options: OutcomeOptions): OutcomeModel {
  const { coupons, findings, choices } = modelled(io, study, options);
  const model = buildOutcomeModel({ definition: study.definition, coupons }, choices);
  return { ...model, findings: [...findings, ...model.findings] };
}

/** The coupons that an outcome model is built from, and how. */
function modelled(io: CommandIo, study: Study, options: OutcomeOptions) {
  requireCoupons(study, options.without ?? []);
  const without = new Set(options.without ?? []);
  const { layers, coupons, findings } = selectLayers(study, options.layers);
  const sound = soundCoupons({
    definition: study.definition,
    coupons: coupons.filter(({ id, state }) => state === "logged" && !without.has(id)),
  });
  return {
    coupons: sound.coupons,
    findings: [...findings, ...sound.findings],
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
  io: CommandIo,
  study: Study,
  {
    options,
    recommendation,
    fit,
  }: {
    readonly options: OutcomeOptions;
    readonly recommendation: Recommendation;
    readonly fit: StudyFit | undefined;
  },
): Recommendation {
  if (fit === undefined) return recommendation;
  const { coupons, choices } = modelled(io, study, options);
  const comparisons = compareModels({ definition: study.definition, coupons }, fit, choices);
  return { ...recommendation, findings: [...recommendation.findings, ...agreementFindings(comparisons)] };
}

/** An older study's coupons on the same layers, which is all that compares. */
function olderStudyAt(io: CommandIo, folder: string, layers: LayerSet): OlderStudy {
  const { definition, coupons } = studyAt(io, folder);
  return { definition, coupons: selectLayers({ coupons }, layers).coupons };
}

/** Says on the notes when the check refuses the study's coupons. */
export function warnOfRefusals(io: CommandIo, { findings }: StudyCheck): void {
  const refused = findings.filter(({ severity }) => severity === "error");
  if (refused.length === 0) return;
  io.note(
    `Mind: \`beadbench check\` refuses these coupons, so what follows may rest on wrong numbers.\n${findingsText(refused)}\n`,
  );
}
