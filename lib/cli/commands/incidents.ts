import type { Command } from "commander";
import { drawGrowth, drawIncidents, renderSvg } from "../../charts/index.js";
import {
  type AroundChange,
  aroundChanges,
  type CauseRecord,
  type Counter,
  counters,
  growthOfIncidents,
  type IncidentGrowth,
  type IncidentJudgement,
  type IncidentSettings,
  incidentSettings,
  judgeIncidents,
  rateBounds,
  survivalOfBuilds,
} from "../../endurance/index.js";
import { BeadbenchError } from "../../errors/index.js";
import { counted, levelPercent, percent, significant } from "../../numeric/index.js";
import type { ExposureKind } from "../../study/definition/index.js";
import type { Study } from "../../study/index.js";
import { suggestion } from "../../study/index.js";
import { answer } from "../answer.js";
import { parsePer, requireExposureKind } from "../exposure.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { OutputOption } from "../output-option.js";
import { perText, runningText } from "../running-words.js";
import { findingsBelow, textTable, wrap } from "../text.js";

interface IncidentsOptions {
  readonly what?: string;
  readonly change?: string;
  readonly per?: readonly string[];
  readonly count: string;
  readonly confidence: number;
  readonly svg?: string;
  readonly growthSvg?: string;
  readonly json?: boolean;
}

/** All that the command tells. */
interface Answer {
  readonly judgement: IncidentJudgement;
  readonly growth: IncidentGrowth;
  readonly survival: ReturnType<typeof survivalOfBuilds>;
  readonly around: readonly AroundChange[];
  readonly settings: readonly IncidentSettings[];
  readonly counters: readonly Counter[];
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--what <incident>", "one kind of incident only, for growth, changes and settings")
    .option("--change <name>", "compare before and after changes of this, such as cup, wire_spool, firmware")
    .option("--per <incident=running...>", "what a kind's chance grows with, such as arc_lost=starts")
    .option("--count <running>", "running to count growth and changes by", "arc_time")
    .option("--confidence <share>", "of the bounds", share, 0.95)
    .addOption(new OutputOption("--svg <file>", "draw what each kind of incident cost"))
    .addOption(
      new OutputOption("--growth-svg <file>", "draw the incidents over all running, with the changes"),
    )
    .action(async (folder: string, options: IncidentsOptions) => {
      const study = studyAt(io, folder);
      const found = judge(study, options);
      if (options.svg !== undefined)
        writeText(io, options.svg, await renderSvg(drawIncidents(found.judgement)));
      if (options.growthSvg !== undefined)
        writeText(io, options.growthSvg, await renderSvg(drawGrowth(study, found.growth, options.what)));
      answer({ io, options, result: found, text: () => incidentsText(found, options) });
    });
}

function judge(study: Study, options: IncidentsOptions): Answer {
  const { what, confidence } = options;
  const kinds = [...new Set(study.incidents.map((incident) => incident.what))];
  if (what !== undefined && !kinds.includes(what)) {
    throw new BeadbenchError("bad-argument", `no ${what} was logged${suggestion(what, kinds)}`);
  }
  const count = requireExposureKind(options.count);
  const per = options.per === undefined ? {} : parsePer(options.per);
  const changed =
    options.change === undefined
      ? [...new Set(study.changes.map((change) => change.what))]
      : [options.change];
  return {
    judgement: judgeIncidents(study, { per, confidence }),
    growth: growthOfIncidents(study, {
      per: count,
      confidence,
      ...(what === undefined ? {} : { which: (incident) => incident.what === what }),
    }),
    survival: survivalOfBuilds(study),
    around: changed.flatMap((change) =>
      aroundChanges(study, { change, per: count, confidence, ...(what === undefined ? {} : { what }) }),
    ),
    settings: (what === undefined ? kinds : [what]).flatMap((kind) => incidentSettings(study, kind) ?? []),
    counters: counters(study),
  };
}

function incidentsText(found: Answer, { confidence, what }: IncidentsOptions): string {
  const { judgement } = found;
  return [
    runningSoFar(judgement),
    judgement.causes.length === 0 ? noneText(judgement) : causesText(judgement),
    growthText(found.growth, what ?? "all incidents"),
    survivalText(found.survival),
    aroundText(found.around, confidence),
    settingsText(found.settings),
    countersText(found.counters),
    findingsBelow(judgement.findings),
  ].join("");
}

function runningSoFar({ ledger }: IncidentJudgement): string {
  const parts = Object.entries(ledger.total).map(([kind, amount]) =>
    runningText(kind as ExposureKind, amount),
  );
  return parts.length === 0 ? "Nothing was run yet.\n" : `Run so far: ${parts.join(", ")}\n`;
}

/** None seen is not none to come. */
function noneText({ ledger, confidence }: IncidentJudgement): string {
  const lines = Object.entries(ledger.total)
    .filter(([, amount]) => amount > 0)
    .map(([kind, amount]) => {
      const { atMost } = rateBounds(0, amount, confidence);
      return `  at most one in ${significant(1 / atMost)} ${runningText(kind as ExposureKind, 1).replace(/^\S+ /, "")}\n`;
    });
  return lines.length === 0
    ? "No incident was logged.\n"
    : `\nNo incident was logged. That shows, at ${levelPercent(confidence)}:\n${lines.join("")}`;
}

function causesText({ causes, confidence }: IncidentJudgement): string {
  const rate = ({ rate: bounds, per }: CauseRecord): string =>
    bounds === null
      ? `not told (${perText(per)})`
      : `one in ${runningText(per, 1 / bounds.estimate)} (${significant(1 / bounds.upper)} to ${bounds.lower === 0 ? "never" : significant(1 / bounds.lower)})`;
  const scraps = causes.some(({ buildTime }) => buildTime > 0);
  return `\nIncidents, costliest first\n${textTable(
    [
      { title: "incident" },
      { title: "times", align: "right" },
      { title: "scrapped", align: "right" },
      { title: "lost", align: "right" },
      ...(scraps ? [{ title: "builds lost", align: "right" } as const] : []),
      { title: "share", align: "right" },
      { title: "sum", align: "right" },
      { title: `rate (${levelPercent(confidence)} bounds)` },
    ],
    causes.map((cause) => [
      cause.what,
      String(cause.incidents),
      String(cause.scrapped),
      cause.timed === 0 ? "not told" : `${significant(cause.lostTime)} min`,
      ...(scraps ? [cause.buildTime === 0 ? "" : `${significant(cause.buildTime)} min`] : []),
      percent(cause.share),
      percent(cause.cumulative),
      rate(cause),
    ]),
  )}`;
}

function growthText({ growth, times, end, per }: IncidentGrowth, what: string): string {
  if (end <= 0) return "";
  if (growth === null) {
    return times.length === 0
      ? ""
      : `\nGetting better? ${counted(times.length, "incident is", "incidents are")} too few to tell a trend; the rates above are all there is.\n`;
  }
  const { fit, goodness } = growth;
  const { estimate, lower, upper } = fit.shape;
  const verdict =
    upper < 1 ? "they become rarer" : lower > 1 ? "they become more frequent" : "no trend can be told";
  const between = fit.meanBetween;
  return `\n${wrap(
    `Getting better? ${what}: ${verdict} (power-law shape ${significant(estimate)}, ${levelPercent(fit.confidence)} ${significant(lower)} to ${significant(upper)}, below 1 is rarer; Laplace's trend test p ${significant(fit.trend.p, 2)}; fit of the power law p ${significant(goodness.p, 2)}${goodness.p < 0.05 ? ", it does not fit well" : ""}). Now about ${runningText(per, between.estimate)} between two (${significant(between.lower)} to ${significant(between.upper)}).`,
  )}\n`;
}

function survivalText({ law, runs }: ReturnType<typeof survivalOfBuilds>): string {
  if (law === null) return "";
  const word =
    law.gainOverConstant < 3.84
      ? "no better told than by a constant rate"
      : law.shape < 1
        ? "early failures: look at the first minutes"
        : "wear: look at what ages";
  return `\n${wrap(
    `Arc of builds between incidents: ${runs.length} runs, ${law.failures} ended by an incident; Weibull shape ${significant(law.shape)}, scale ${significant(law.scale)} h (${word}).`,
  )}\n`;
}

function aroundText(around: readonly AroundChange[], confidence: number): string {
  const told = around.filter(
    ({ comparison, before, after }) => comparison !== null && before.events + after.events > 0,
  );
  if (told.length === 0) return "";
  const lines = told.map(({ change, before, after, per, comparison }) => {
    const { ratio, lower, upper, p, chanceLower } = comparison!;
    const factor = Number.isFinite(ratio) ? significant(ratio) : "none before";
    return `  ${wrap(
      `${change.what} (entry ${change.seq}): ${before.events} in ${runningText(per, before.exposure)} before, ${after.events} in ${runningText(per, after.exposure)} after; rate after over before ${factor} (${levelPercent(confidence)} ${significant(lower)} to ${Number.isFinite(upper) ? significant(upper) : "any"}), exact test p ${significant(p, 2)}, chance that it is rarer now ${percent(chanceLower)}`,
      "    ",
    )}\n`;
  });
  return `\nBefore and after changes (whatever else changed that day is in it too)\n${lines.join("")}`;
}

function settingsText(settings: readonly IncidentSettings[]): string {
  const found = settings.flatMap(({ what, withIt, withoutIt, settings: factors }) =>
    factors
      .filter(({ p }) => p < 0.1)
      .map(({ factor, unit, with: on, without, adjusted, toTell }) => {
        const settle =
          toTell.each === null
            ? "too close to settle with 60 coupons each"
            : `${toTell.each} coupons each at ${significant(toTell.low)} and ${significant(toTell.high)} ${unit}, in random order, would settle it`;
        return `  ${wrap(
          `${what}: median ${factor} ${significant(on)} ${unit} on ${withIt} coupons with it, ${significant(without)} on ${withoutIt} without (p ${significant(adjusted, 2)} for all factors looked at); ${settle}`,
          "    ",
        )}\n`;
      }),
  );
  return found.length === 0
    ? ""
    : `\nSettings that go with an incident (a suspicion: this was no experiment)\n${found.join("")}`;
}

function countersText(list: readonly Counter[]): string {
  if (list.length === 0) return "";
  const rows = list.map(({ what, changed, since, life }) => [
    what,
    changed.slice(0, 10),
    Object.entries(since)
      .map(([kind, amount]) => runningText(kind as ExposureKind, amount))
      .join(", "),
    life === undefined
      ? ""
      : life.left <= 0
        ? `due: ${runningText(life.kind, life.used)} of ${runningText(life.kind, life.value)}`
        : `in ${runningText(life.kind, life.left)}`,
  ]);
  return `\nSince the last change\n${textTable(
    [{ title: "what" }, { title: "changed" }, { title: "run since" }, { title: "next" }],
    rows,
  )}`;
}
