import { resolve } from "node:path";
import type { Command } from "commander";
import { chartTrace, renderSvg } from "../../charts/index.js";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { readTable } from "../../study/csv/index.js";
import type { Study } from "../../study/record/index.js";
import { measureTrace, openTrace, type TimeMark } from "../../traces/index.js";
import { answer } from "../answer.js";
import { couponMeant } from "../coupon-meant.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { gather, quantityIn, share, wordList } from "../options.js";
import { OutputOption } from "../output-option.js";
import { type TraceAnswer, traceAnswer } from "../trace-answer.js";
import { logTraces } from "../trace-log.js";
import { columnWords, quantityWords, thresholdWords } from "../trace-options.js";
import { eventsTable, traceText } from "../trace-text.js";

interface TraceCommandOptions {
  readonly process?: string;
  readonly coupons?: readonly string[];
  readonly marks?: string;
  readonly column?: readonly string[];
  readonly scale?: readonly string[];
  readonly zero?: readonly string[];
  readonly rate?: number;
  readonly threshold?: readonly string[];
  readonly speed?: number;
  readonly length?: number;
  readonly tolerance?: number;
  readonly logger?: number;
  readonly log?: boolean;
  readonly svg?: string;
  readonly events?: string;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--process <number>", "ISO 4063 number of the process, such as 141 or 135 (default: the study's)")
    .option(
      "--coupons <ids>",
      "coupons of the trace, in the order they ran, one run of arc each (default: those logged without a trace, else the planned ones)",
      wordList,
    )
    .option(
      "--marks <file>",
      "CSV of when each coupon ran (coupon, from [s], to [s]), instead of runs of arc",
    )
    .option(
      "--column <channel=heading>",
      'which column is which: current=CH1, time="t [ms]", or its number; again for each',
      gather,
    )
    .option(
      "--scale <channel=value>",
      'what one unit of a column, or full scale of a WAV channel, is: current="500 A"; again for each',
      gather,
    )
    .option(
      "--zero <channel=value>",
      'what a column shows of nothing, taken off: current="2 A"; again for each',
      gather,
    )
    .option(
      "--rate <frequency>",
      'samples a second, where there is no column of time, such as "10 kHz"',
      quantityIn("Hz"),
    )
    .option("--threshold <name=value>", "one of the values below; again for each", gather)
    .option(
      "--speed <travel speed>",
      "for energy per length (default: the coupon's travel_speed)",
      quantityIn("mm/s"),
    )
    .option("--length <length>", "of each bead, for energy per length instead of the speed", quantityIn("mm"))
    .option("--tolerance <share>", "share of a set value that the rig holds it by (default: 5%)", share)
    .option("--logger <share>", "share of its reading that the logger errs by (default: 2%)", share)
    .option("--log", "write what the trace tells to its coupons; without it nothing is written")
    .addOption(new OutputOption("--svg <file>", "draw current and voltage over time, with what happened"))
    .addOption(new OutputOption("--events <file>", "write what happened as CSV"))
    .addHelpText(
      "after",
      `
Reads CSV, WAV (left current, right voltage) and Parquet: time, current, voltage, and feed, gas, oxygen, temperature where
recorded. Current and voltage are taken by their size, power is that of each instant. What happens to an arc:
  ignition  current comes on and stays        misfire  it went out again within litAfter
  short     the wire bridges the arc (MIG/MAG) touch   the tungsten touches pool, wire or work (TIG, plasma)
  stuck     a bridge longer than stuckAfter    stopped the wire stood still while the arc burned (needs feed)
  lost      the arc went out and was lit again within couponGap
Thresholds, common practice without a source, TIG and plasma / MIG and MAG:
  arcOn 8 / 15 A, arcOff 5 / 8 A, bridgedBelow 5 / 9 V, bridgedOver 6.5 / 11 V, bridgedLeast 2 / 0.3 ms,
  stuckAfter 200 / 50 ms, startBridge 1 s, lostAfter 5 ms, litAfter 20 ms, couponGap 3 s, couponLeast 1 s,
  feedStopped 0.2, feedStoppedAfter 0.3 s, gapSteps 5
  beadbench trace my-study monday.csv --coupons C07,C08,C09
  beadbench trace my-study monday.csv --coupons C07,C08,C09 --log
  beadbench trace run.wav --process 141 --scale current="500 A" --scale voltage="50 V" --speed "180 mm/min"`,
    )
    .action(async (first: string, second: string | undefined, options: TraceCommandOptions) => {
      const file = second ?? first;
      const study = second === undefined ? undefined : studyAt(io, first);
      const result = await traceOf({ io, study, file, options });
      const logged = options.log === true ? logTraces(io, study, result) : undefined;
      if (options.svg !== undefined) writeText(io, options.svg, await renderSvg(chartTrace(result)));
      if (options.events !== undefined) writeText(io, options.events, eventsTable(result));
      const toFile = options.svg === "-" || options.events === "-";
      if (!toFile)
        answer({
          io,
          options,
          result: { ...result, ...onlyDefined({ logged }) },
          text: () => traceText(result, logged),
        });
    });
}

async function traceOf({
  io,
  study,
  file,
  options,
}: {
  readonly io: CommandIo;
  readonly study: Study | undefined;
  readonly file: string;
  readonly options: TraceCommandOptions;
}): Promise<TraceAnswer> {
  if (file === "-")
    throw new BeadbenchError(
      "bad-argument",
      "a trace is read from a file, since it may be larger than memory; save standard input to one",
    );
  const process = options.process ?? study?.definition.process;
  if (process === undefined)
    throw new BeadbenchError(
      "bad-argument",
      "say which process it was, as in --process 141 (TIG) or --process 135 (MAG): shorts and touches are told apart by it",
    );
  const trace = await openTrace(resolve(io.folder, file), {
    columns: columnWords(options.column),
    scales: quantityWords("--scale", options.scale),
    zeros: quantityWords("--zero", options.zero),
    ...onlyDefined({ rate: options.rate }),
  });
  io.doing?.(`reading ${file}`);
  const marks =
    options.marks === undefined
      ? undefined
      : marksOf(await readText(io, options.marks), options.marks, study);
  const measure = measureTrace(trace, {
    process,
    thresholds: thresholdWords(options.threshold),
    ...onlyDefined({ marks }),
  });
  const coupons =
    study === undefined ? options.coupons : options.coupons?.map((id) => couponMeant(study, id));
  const { speed, length, tolerance, logger } = options;
  return traceAnswer({
    measure,
    study,
    must: options.log === true,
    run: onlyDefined({ travelSpeed: speed, length }),
    allowance: onlyDefined({ tolerance, logger }),
    ...onlyDefined({ coupons }),
  });
}

function marksOf(text: string, file: string, study: Study | undefined): readonly TimeMark[] {
  const rows = readTable(
    text,
    [
      { name: "coupon", unit: "text" },
      { name: "from", unit: "s" },
      { name: "to", unit: "s" },
    ],
    { file },
  );
  return rows.map(({ coupon, from, to }) => ({
    coupon: study === undefined ? String(coupon) : couponMeant(study, String(coupon)),
    from: Number(from),
    to: Number(to),
  }));
}
