import { type Command, Option } from "commander";
import { type RenderOptions, renderSvg } from "../../charts/index.js";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { drawingNamed, drawingSource, drawings } from "../drawings.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";
import { checkedBasis, type OutcomeOptions, withOutcomeOptions } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { textTable } from "../text.js";

interface DrawOptions extends OutcomeOptions, AnswerOptions, Pick<RenderOptions, "width" | "scheme"> {
  readonly response?: string;
  readonly svg?: string;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .option("--response <name>", "of a measured response (default: the first that was measured)")
    .addOption(new OutputOption("--svg <file>", "file to write, by default the chart's name and .svg"))
    .option("--width <px>", "how wide (default: as the chart is made)", wholeNumber(240))
    .addOption(
      new Option("--scheme <colours>", "for a light page, a dark one, or what follows the reader").choices([
        "light",
        "dark",
        "both",
      ]),
    )
    .addHelpText("after", `\nCharts\n${listText()}`)
    .action(async (folder: string, name: string | undefined, options: DrawOptions) => {
      if (name === undefined) {
        const result = drawings.map((drawing) => ({ name: drawing.name, what: drawing.what }));
        answer({ io, options, result, text: listText });
        return;
      }
      const { draw, needs } = drawingNamed(name);
      const { response, svg, width, scheme } = options;
      const study = studyAt(io, folder);
      const { without, layers } = options;
      const basis = () => checkedBasis(io, study, options);
      const spec = draw(drawingSource(study, { basis, ...onlyDefined({ response, without, layers }) }));
      if (spec === undefined)
        throw new BeadbenchError("not-enough-data", `nothing to draw: the ${name} chart needs ${needs}`);
      if (options.json !== true || svg !== undefined)
        writeText(io, svg ?? `${name}.svg`, await renderSvg(spec, onlyDefined({ width, scheme })));
      answer({ io, options, result: spec, text: () => (svg === "-" ? "" : `${spec.description}\n`) });
    });
}

const listText = (): string =>
  textTable(
    [{ title: "chart" }, { title: "what it shows" }],
    drawings.map(({ name, what }) => [name, what]),
  );
