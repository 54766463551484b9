import type { Command } from "commander";
import { drawBuildTimeline, renderSvg } from "../../charts/index.js";
import { BUILD_PLAN_SCHEMA, type BuildPlan, forecastBuild } from "../../endurance/index.js";
import { onlyDefined, requireNumber } from "../../errors/index.js";
import { rigPhysics } from "../../models/index.js";
import { cautionsFor } from "../../presets/index.js";
import { ATTENDED, buildPage, renderReport } from "../../report/index.js";
import type { Quantity } from "../../units/index.js";
import { answer, jsonText } from "../answer.js";
import { assumeOption } from "../assume-option.js";
import { assumptionsFor, buildSetting, currencyFor, type PartOptions, partOf } from "../build-input.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { parseEquipment } from "../equipment.js";
import { parsePer } from "../exposure.js";
import { readText, studyAt, writeText } from "../files.js";
import { forecastText } from "../forecast-text.js";
import type { CommandIo } from "../io.js";
import { withPathOptions } from "../layer-path.js";
import { quantityIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { readSchedule } from "../plan-files.js";
import { wantedSettings } from "../wanted-settings.js";

interface ForecastOptions extends PartOptions, DecimalOptions {
  readonly preset?: string;
  readonly schedule?: string;
  readonly rise?: number;
  readonly equipment?: string;
  readonly per?: readonly string[];
  readonly assume?: Readonly<Record<string, Quantity>>;
  readonly currency?: string;
  readonly plan?: string;
  readonly html?: string;
  readonly svg?: string;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command.option("--preset <file>", "settings from a preset (`preset --json`); values named win");
  withPathOptions(command)
    .option("--layers <n>", "layers", wholeNumber(1))
    .option("--starts <n>", "arc starts per layer (default: 1; 0.1 for one start in ten layers)", Number)
    .option(
      "--part <file>",
      "the part by layer, CSV: layer [1], path [mm], starts [1] (- for standard input)",
    )
    .option(
      "--schedule <file>",
      "layer schedule from `wall --json`: length, layers, settings, rise and dwell by layer",
    )
    .option("--rise <length>", "rise per layer", quantityIn("mm"))
    .option("--equipment <file>", "JSON with the makers' ratings, as `physics` takes it")
    .option("--per <incident=running...>", "what a kind's chance grows with, such as arc_lost=starts")
    .option("--assume <name=quantity>", "replace an assumption; may be repeated", assumeOption)
    .option("--currency <word>", "of the prices, such as EUR (default: that of study.json)")
    .addOption(new DecimalOption())
    .addOption(new OutputOption("--plan <file>", "write the plan, for `beadbench build --start`"))
    .addOption(new OutputOption("--html <file>", "write the forecast as one page, for screen and paper"))
    .addOption(new OutputOption("--svg <file>", "draw the build against the clock, with what falls due"))
    .action(async (folder: string, items: readonly string[], options: ForecastOptions) => {
      const study = studyAt(io, folder);
      const { preset, rise } = options;
      if (rise !== undefined) requireNumber("--rise", rise, { above: 0, unit: "mm" });
      const wanted = await wantedSettings(io, { study, items, ...onlyDefined({ preset }) });
      const schedule =
        options.schedule === undefined
          ? undefined
          : readSchedule(await readText(io, options.schedule), options.schedule);
      const assumptions = assumptionsFor(study, options.assume);
      const plan: BuildPlan = {
        schema: BUILD_PLAN_SCHEMA,
        study: study.definition.name,
        made: io.clock().toISOString(),
        build: {
          setting: buildSetting(study, wanted, schedule),
          wireDensity: rigPhysics(study).wireDensity.value,
        },
        outline: await partOf(io, options, schedule),
        assumptions,
        ...onlyDefined({ currency: currencyFor(study, assumptions, options.currency) }),
        perLayer: schedule?.perLayer ?? {},
        standoff: schedule?.standoff ?? [],
        ...onlyDefined({ held: schedule?.held }),
        ...onlyDefined({ rise }),
      };
      const forecast = forecastBuild(study, plan, {
        ...(options.per === undefined ? {} : { per: parsePer(options.per) }),
        ...(options.equipment === undefined
          ? {}
          : { equipment: parseEquipment(await readText(io, options.equipment), options.equipment) }),
      });
      const cautions = cautionsFor(study.definition.process);
      if (options.plan !== undefined) writeText(io, options.plan, jsonText(plan));
      if (options.html !== undefined)
        writeText(io, options.html, await renderReport(buildPage(forecast, cautions)));
      if (options.svg !== undefined) writeText(io, options.svg, await renderSvg(drawBuildTimeline(forecast)));
      answer({ io, options, result: forecast, text: () => forecastText(forecast, [ATTENDED, ...cautions]) });
    });
}
