import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import {
  type Coefficient,
  type ConstrainedFit,
  derivedQuantities,
  errorText,
  type FormQuality,
  type FreeForm,
  fitStudy,
  formTitle,
  type GradeFit,
  isPerHalfRange,
  type LayerSet,
  type ResponseFit,
  referenceText,
  refusals,
  type StudyFit,
  shiftText,
} from "../../models/index.js";
import { counted, fixed, fRatioText, levelPercent, percent, significant } from "../../numeric/index.js";
import { settingText } from "../../study/definition/index.js";
import type { StudyData } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import { answer } from "../answer.js";
import { studyAt } from "../files.js";
import { answerCurve, FORMULA_HELP, type FormulaOptions, START_HELP, startValues } from "../formula.js";
import type { CommandIo } from "../io.js";
import { share, wordList } from "../options.js";
import { layersOption, warnOfRefusals } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { plainResponses } from "../plain-fit.js";
import { fitStudyFormula } from "../study-formula.js";
import { findingsText, textTable, wrap } from "../text.js";

interface FitCommandOptions extends FormulaOptions {
  readonly without?: readonly string[];
  readonly layers?: LayerSet;
  readonly response?: string;
  readonly formula?: string;
  readonly detail?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--without <coupons>", "coupons to leave out, parted by commas; the result says so", wordList)
    .addOption(layersOption())
    .option("--level <share>", "coverage of the intervals", share, 0.95)
    .option("--response <name>", "with --formula: the response it is to give")
    .option(
      "--formula <formula>",
      "fit this instead, such as 'a * current^b * travel_speed^c'; names that are no setting are parameters",
    )
    .option("--start <guesses>", `with --formula: ${START_HELP}`, startValues)
    .addOption(new OutputOption("--svg <file>", "with --formula: draw the curve, its bands and the coupons"))
    .option("--detail", "every form tried, coefficients, tests and blocks")
    .option("--json", "print the result, with every form, as JSON")
    .addHelpText(
      "after",
      `
A formula of your own, on settings, responses, logged context and derived quantities (${Object.keys(derivedQuantities).join(", ")}):
  beadbench fit my-study --response bead_width --formula 'a * current^b * travel_speed^c'
${FORMULA_HELP}`,
    )
    .action(async (folder: string, options: FitCommandOptions) => {
      const study = studyAt(io, folder);
      warnOfRefusals(io, refusals(study));
      const { formula, response } = options;
      if (formula !== undefined && response !== undefined) {
        const { blocks } = study.definition;
        if (blocks.length > 0)
          io.note(
            `a formula knows no ${blocks.join(" and no ")}: coupons of all are taken as alike; what they differ by goes into the scatter\n`,
          );
        await answerCurve(io, options, fitStudyFormula(study, { ...options, formula, response }));
        return;
      }
      for (const name of ["formula", "response", "start", "svg"] as const) {
        if (options[name] === undefined) continue;
        throw new BeadbenchError(
          "bad-argument",
          `--${name} belongs to a formula of your own: give --response and --formula both`,
        );
      }
      io.doing?.("fitting the forms");
      const fit = fitStudy(study, {
        level: options.level,
        ...(options.layers === undefined ? {} : { layers: options.layers }),
        ...(options.without === undefined ? {} : { without: options.without }),
      });
      answer({
        io,
        options,
        result: fit,
        text: () => (options.detail === true ? fitText(fit) : plainFitText(study, fit)),
      });
    });
}

/** The fit in plain words: whether what is wanted is settled, what each setting does, and what to look at. */
export function plainFitText(study: StudyData, fit: StudyFit): string {
  return [
    plainResponses(study, fit),
    ...(fit.graded ?? []).map(gradesText),
    fit.findings.length === 0 ? "" : `\n${findingsText(fit.findings)}`,
    "\nForms, coefficients and tests: fit --detail\n",
  ].join("");
}

/** The fit with its statistics, as text for a terminal. */
export function fitText(fit: StudyFit): string {
  const joint = fit.constrained.filter(({ width }) =>
    fit.responses.some(({ response, chosen }) => response === width.response && chosen === "constrained"),
  );
  return [
    ...joint.flatMap((form) => [constrainedText(form), "\n"]),
    ...fit.responses.flatMap((response, i) => {
      const said = fit.responses.slice(0, i).some(({ explanation }) => explanation === response.explanation);
      return [responseText(response, said), "\n"];
    }),
    ...(fit.graded ?? []).flatMap((grades) => [gradesText(grades), "\n"]),
    fit.findings.length === 0 ? "" : findingsText(fit.findings),
  ].join("");
}

const range = (x: { readonly lower: number; readonly upper: number }): string =>
  `${significant(x.lower)} to ${significant(x.upper)}`;

/** The forms tried, the chosen one marked; then the chosen form's coefficients and why it was chosen. */
function responseText(fit: ResponseFit, said: boolean): string {
  const chosen = fit.forms.find(({ form }) => form === fit.chosen);
  const tried = fit.candidates.filter(({ reason }) => reason === undefined);
  const failed = fit.candidates.filter(({ reason }) => reason !== undefined);
  return [
    `${fit.response} [${fit.unit}]\n`,
    textTable(
      [
        { title: "  form" },
        { title: "coefficients", align: "right" },
        { title: "scatter", align: "right" },
        { title: "left-out error", align: "right" },
        { title: "AICc", align: "right" },
        { title: "" },
      ],
      tried.map(({ form, detail, parameters, scatter, leftOutError, errorUnit, aicc }) => [
        `${form === fit.chosen ? "* " : "  "}${formTitle(form)}`,
        String(parameters),
        errorText(scatter!, errorUnit!),
        leftOutError === undefined ? "-" : errorText(leftOutError, errorUnit!),
        aicc === undefined ? "-" : fixed(aicc, 1),
        detail ?? "",
      ]),
    ),
    ...failed.map(({ form, reason }) => `${wrap(`  no ${formTitle(form)}: ${reason}`, "    ")}\n`),
    said ? "" : `${wrap(`  * ${fit.explanation}.`, "    ")}\n`,
    `${wrap(`  ${fit.forecastExplanation}.`, "    ")}\n`,
    chosen === undefined ? "" : formText(chosen),
  ].join("");
}

/** The effects of the settings on a grade, and what chance of each grade they leave. */
function gradesText(fit: GradeFit): string {
  const effects = fit.fit.intervals.slice(0, fit.fit.intervals.length - (fit.grades.length - 1));
  const given = fit.grades.map((grade, k) => `${fit.counts[k]} x ${grade}`).join(", ");
  return [
    `${fit.response} (grade, more is better), ${counted(fit.coupons.length, "coupon")}: ${given}\n`,
    `  ordered logit${fit.priorSd === undefined ? "" : `, effects under a weak prior of ${fit.priorSd}`}; a positive effect means better grades\n`,
    coefficientTable(
      "log odds per half range",
      effects.map(({ name, ...effect }, j) => ({
        term: name,
        standardError: fit.fit.standardErrors[j]!,
        ...effect,
      })),
      fit.level,
    ),
    textTable(
      [
        { title: "  chance of grade" },
        ...fit.grades.map((grade) => ({ title: String(grade), align: "right" as const })),
      ],
      fit.chances.map(({ at, chances }) => [
        at === undefined ? "  in the middle" : `  ${at.factor} ${withUnit(settingText(at.value), at.unit)}`,
        ...chances.map((chance) => percent(chance)),
      ]),
    ),
    fit.held.length === 0 ? "" : `  held constant, so unknown: ${fit.held.join(", ")}\n`,
  ].join("");
}

function coefficientTable(title: string, coefficients: readonly Coefficient[], level: number): string {
  return textTable(
    [
      { title: "  term" },
      { title, align: "right" },
      { title: "std. error", align: "right" },
      { title: `${levelPercent(level)} interval`, align: "right" },
    ],
    coefficients.map((e) => [
      `  ${e.term}`,
      fixed(e.estimate, 3),
      fixed(e.standardError, 3),
      `${fixed(e.lower, 2)} to ${fixed(e.upper, 2)}`,
    ]),
  );
}

function formText(form: FreeForm): string {
  if (form.form === "gaussian-process") {
    const departure = Math.sqrt(form.process.signalVariance);
    const size =
      form.base.fitScale === "linear" ? withUnit(significant(departure), form.unit) : percent(departure, 1);
    return `${formText(form.base)}  and a smooth departure from it of about ${size}\n`;
  }
  const test = form.lackOfFit;
  return [
    `  ${withUnit(significant(form.atReference.estimate), form.unit)} (${range(form.atReference)}) ${referenceText(form)}, ${counted(form.n, "coupon")}\n`,
    coefficientTable(
      isPerHalfRange(form.form) ? "per half range" : "exponent",
      form.coefficients,
      form.level,
    ),
    test === undefined
      ? "  no repeats: lack of fit cannot be tested\n"
      : `  lack of fit against repeats: F ${fRatioText(test.f)}, p = ${significant(test.p, 2)}\n`,
    shiftLines([form], false),
    form.held.length === 0 ? "" : `  held constant, so unknown: ${form.held.join(", ")}\n`,
  ].join("");
}

/** How much responses shift from block to block, and for which coupon their form then speaks. */
function shiftLines(qualities: readonly FormQuality[], named: boolean): string {
  const lines = qualities.flatMap(({ response, shift, errorUnit, level }) =>
    shift === undefined ? [] : [`${named ? `${response}: ` : ""}${shiftText(shift, errorUnit, level)}`],
  );
  if (lines.length === 0) return "";
  const all = [...lines, "scatter, left-out errors and predictions are those of a coupon of a block to come"];
  return all.map((line) => `${wrap(`  ${line}`, "    ")}\n`).join("");
}

function constrainedText(fit: ConstrainedFit): string {
  return [
    `${fit.width.response} and ${fit.height.response} together (height from mass balance), ${fit.n} coupons\n`,
    `  width ${significant(fit.widthAtReference.estimate)} mm (${range(fit.widthAtReference)}), fullness ${fixed(fit.fullness.estimate, 3)} (${range(fit.fullness)}) with ${percent(fit.depositionEfficiency)} of the wire deposited\n`,
    coefficientTable("exponent", fit.exponents, fit.level),
    shiftLines([fit.width, fit.height], true),
  ].join("");
}
