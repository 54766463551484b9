import {
  drawChanceProfiles,
  drawConformance,
  drawTimeline,
  drawWindowRanges,
  hasNumbers,
} from "../charts/index.js";
import { nextStep } from "../models/gate/index.js";
import { judgeCoupon, type OutcomeModel, selectLayers } from "../models/index.js";
import { counted, inWords, levelPercent, percent } from "../numeric/index.js";
import { cautionsFor, type Preset } from "../presets/index.js";
import { settingsText } from "../study/definition/index.js";
import { type Study, wireText } from "../study/index.js";
import { shownUnit } from "../units/index.js";
import { type ProcessWindow, volumeText } from "../window/index.js";
import { couponBasis, leftOutText, modelBasis } from "./basis.js";
import type { ReportClaim, ReportDocument, ReportSection } from "./document.js";
import { explorerData } from "./explorer/index.js";
import { fitSections } from "./fit-sections.js";
import { incidentSections } from "./incident-sections.js";
import { learningSections } from "./learning-sections.js";
import { checkSection, recordSection } from "./record-sections.js";
import type { StudyResults } from "./results.js";
import { estimateCell, settingCell } from "./words.js";

/**
 * Lays a study's results out as one document: what to do next, cautions, then preset, window, models, checks and record, and where
 * each came from. A part that could not be had is left out, and `remarks` say why. {@link renderReport} makes the page.
 */
export function composeStudyReport(results: StudyResults): ReportDocument {
  const { study, preset, remarks, model, window } = results;
  const last = study.entries.at(-1);
  return {
    title: study.definition.name,
    subtitle: `Process ${study.definition.process} (ISO 4063), ${wireText(study.definition.wire)}`,
    answer: answerSection(results),
    cautions: cautionsFor(study.definition.process),
    sections: [
      summarySection(results),
      ...(preset === undefined ? [] : [presetSection(preset, model)]),
      ...(model === undefined || window === undefined ? [] : [explorerSection(results, { model, window })]),
      ...(window === undefined ? [] : [windowSection(study, window, model)]),
      ...(results.fit === undefined ? [] : fitSections(results, results.fit)),
      ...learningSections(results),
      {
        ...checkSection(results),
        key: "check",
        basis:
          "Every coupon logged, against physics, its neighbours and the study's limits. Scatter is that of coupons repeated at the same settings.",
      },
      ...incidentSections(study),
      {
        ...recordSection(study),
        key: "record",
        basis: "As the journal holds it; nothing here is computed but the verdicts.",
      },
    ],
    provenance: [
      ...remarks,
      last === undefined
        ? "The journal is empty."
        : `Journal: ${study.entries.length} entries, the last ${last.time} with hash ${last.hash}.`,
      `Seed of every random choice: ${study.definition.seed}.`,
      "Estimates from coupons on one rig; they permit nothing.",
    ],
  };
}

/** The best settings so far and the next step, in plain words. */
function answerSection({ study, preset, model, window, remarks }: StudyResults): ReportSection {
  const chance = window?.best.conformance;
  const { why, commands } = nextStep(study);
  const best: readonly (string | ReportClaim)[] =
    preset === undefined || chance === undefined
      ? [`No settings can be recommended yet. ${remarks.join(" ")}`.trim()]
      : [
          {
            text: `Best settings so far: ${settingsText(preset.settings.map(({ name, ...rest }) => ({ factor: inWords(name), ...rest })))}.`,
            evidence: [{ text: "ranges and expected results", key: "preset" }],
          },
          {
            text: `Of beads laid there about ${percent(chance.chance)} come out as wanted (as far as is known ${percent(chance.interval[0])} to ${percent(chance.interval[1])}, 90 % interval).`,
            evidence: [
              ...(model === undefined ? [] : [{ text: "try other settings", key: "explore" }]),
              { text: "how far they may move", key: "window" },
            ],
          },
          ...preset.findings
            .filter(({ code }) => code === "no-specification")
            .map(({ message }) => `Mind: ${message}.`),
        ];
  const logged = study.coupons.filter(({ state }) => state === "logged").length;
  return {
    heading: "What to do next",
    paragraphs: [
      ...best,
      {
        text: `This rests on ${counted(logged, "coupon")} logged.`,
        evidence: [
          { text: "how they came out", key: "glance" },
          { text: "each of them", key: "record" },
        ],
      },
      { text: why, evidence: [{ text: "what was checked", key: "check" }] },
      ...commands.map((line) => `In a terminal: ${line}`),
    ],
  };
}

function summarySection({ study, check, window, without }: StudyResults): ReportSection {
  const verdicts = study.coupons.map((coupon) => judgeCoupon(study, coupon));
  const count = (verdict: string): number => verdicts.filter((v) => v === verdict).length;
  const conformance = window?.best.conformance;
  return {
    key: "glance",
    heading: "At a glance",
    basis: [couponBasis(study), leftOutText(without)].filter(Boolean).join(" "),
    keyFigures: [
      {
        label: "Coupons logged",
        value: String(check.counts.logged),
        note: `${count("passed")} conformed, ${count("failed")} did not`,
      },
      ...(conformance === undefined
        ? []
        : [
            {
              label: "Chance to conform at the recommended setting",
              value: percent(conformance.chance),
              note: `90 % interval ${percent(conformance.interval[0])} to ${percent(conformance.interval[1])}`,
            },
          ]),
    ],
    findings: check.findings.filter(({ severity }) => severity === "error"),
    charts:
      check.counts.logged === 0
        ? []
        : [
            {
              spec: drawTimeline(study, without),
              caption: "Coupons in run order, with changes of equipment.",
            },
          ],
  };
}

function presetSection(preset: Preset, model: OutcomeModel | undefined): ReportSection {
  const range = new Map(preset.window.ranges.map((item) => [item.name, item]));
  return {
    key: "preset",
    heading: "Recommended preset",
    ...(model === undefined ? {} : { basis: modelBasis(model) }),
    tables: [
      {
        caption: `Settings; all may move inside their ranges at once with at least ${percent(preset.window.reached)} chance to conform`,
        columns: [
          { heading: "Setting" },
          { heading: "Value", numeric: true },
          { heading: "From", numeric: true },
          { heading: "To", numeric: true },
          { heading: "Unit" },
        ],
        rows: [
          ...preset.settings.map(({ name, value, unit }) => [
            inWords(name),
            settingCell(value),
            settingCell(range.get(name)?.low),
            settingCell(range.get(name)?.high),
            shownUnit(unit),
          ]),
          ...preset.held.map(({ name, value, unit }) => [
            inWords(name),
            settingCell(value),
            "held",
            "held",
            shownUnit(unit),
          ]),
        ],
      },
      {
        caption: "What the next coupon will show",
        columns: [
          { heading: "Result" },
          { heading: "Median", numeric: true },
          { heading: "95 % of coupons from", numeric: true },
          { heading: "to", numeric: true },
          { heading: "Unit" },
          { heading: "Within specification", numeric: true },
        ],
        rows: [
          ...preset.predicted.map((p) => [
            inWords(p.name),
            estimateCell(p.median),
            estimateCell(p.lower),
            estimateCell(p.upper),
            shownUnit(p.unit),
            percent(p.chance),
          ]),
          ...preset.checks.map(({ name, chance }) => [inWords(name), "", "", "", "", percent(chance)]),
        ],
      },
    ],
    findings: preset.findings,
  };
}

/** A model to walk through by hand, and pictures of the same where nothing moves. */
function explorerSection(
  { study, fit }: StudyResults,
  { model, window }: { readonly model: OutcomeModel; readonly window: ProcessWindow },
): ReportSection {
  const judged = { ...study, ...selectLayers(study, fit?.layers) };
  const map = drawConformance(judged, window);
  return {
    key: "explore",
    heading: "Try settings",
    basis: `Rests on ${counted(model.coupons, "coupon")}, by the model of the preset, which this page computes with itself: its numbers are those of the commands.`,
    explorer: explorerData(judged, model, window),
    charts: [
      ...(map === undefined
        ? []
        : [
            {
              spec: map,
              caption:
                "Chance that a coupon meets every specification, the other settings at their recommended values.",
            },
          ]),
      ...(hasNumbers(study)
        ? [{ spec: drawChanceProfiles(model, window), caption: "The chance along each setting alone." }]
        : []),
    ],
  };
}

function windowSection(study: Study, window: ProcessWindow, model: OutcomeModel | undefined): ReportSection {
  return {
    key: "window",
    heading: "Process window",
    ...(model === undefined
      ? {}
      : {
          basis: `Rests on ${counted(model.coupons, "coupon")}, by the same model. Level ${levelPercent(window.level)}; the share is counted over settings spread evenly, its interval holds 90 % of what the coupons leave open.`,
        }),
    paragraphs: [volumeText(window.volume, `a chance of ${levelPercent(window.level)}`)],
    charts: hasNumbers(study)
      ? [{ spec: drawWindowRanges(study, window), caption: "How far the settings may move, all at once." }]
      : [],
  };
}
