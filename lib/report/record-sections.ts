import { drawCorrelations, drawStations, drawSuspects } from "../charts/index.js";
import { ownValue } from "../errors/index.js";
import { judgeCoupon } from "../models/index.js";
import { brief, counted, inWords, percent, significant } from "../numeric/index.js";
import { cellOf, type Incident, kindRules, resultOf, type Study } from "../study/index.js";
import { headed, withUnit } from "../units/index.js";
import type { ReportSection } from "./document.js";
import type { StudyResults } from "./results.js";
import { cell, settingCell } from "./words.js";

/** What the check found. */
export function checkSection({ study, check, model }: StudyResults): ReportSection {
  const together = drawCorrelations(check.confounding);
  const suspects = drawSuspects(study, check, model);
  const stations = study.definition.responses.flatMap(({ name, unit, kind }) => {
    const chart = kindRules(kind).stations ? drawStations(study, { name, unit }) : undefined;
    return chart === undefined
      ? []
      : [
          {
            spec: chart,
            caption: `${inWords(name)} along the beads; readings that look lost are marked and kept.`,
          },
        ];
  });
  return {
    heading: "What was checked",
    findings: check.findings,
    tables:
      check.pureErrors.length === 0
        ? []
        : [
            {
              caption: `Scatter of repeats${check.pureErrors.some(({ shifts }) => shifts !== undefined) ? ", shifts of blocks taken out" : ""}`,
              columns: [
                { heading: "Result" },
                { heading: "Settings repeated", numeric: true },
                { heading: "Coupons", numeric: true },
                { heading: "Standard deviation", numeric: true },
                { heading: "Relative", numeric: true },
              ],
              rows: check.pureErrors.map((e) => [
                inWords(e.response),
                String(e.settings),
                String(e.coupons),
                significant(e.sd),
                percent(e.cv, 1),
              ]),
            },
          ],
    charts: [
      ...(suspects === undefined
        ? []
        : [{ spec: suspects, caption: "Coupons that may be wrong on paper: look before you correct." }]),
      ...(together === undefined
        ? []
        : [{ spec: together, caption: "Settings that moved together cannot be told apart." }]),
      ...stations,
    ],
  };
}

/** Coupons that the page lists, of a longer record the last ones. */
const LISTED = 200;

/** Coupons, changes and incidents as recorded. */
export function recordSection(study: Study): ReportSection {
  const { definition, coupons, incidents, changes } = study;
  const responses = definition.responses;
  const listed = coupons.slice(-LISTED);
  const told =
    listed.length < coupons.length
      ? `The last ${listed.length} of ${counted(coupons.length, "coupon")} in run order (all of them: the command export --format csv)`
      : "Coupons in run order";
  return {
    heading: "Record",
    tables: [
      {
        caption: `${told}; an empty cell was not measured`,
        columns: [
          { heading: "Coupon" },
          ...definition.factors.map(({ name, unit }) => ({
            heading: headed(inWords(name), unit),
            numeric: true,
          })),
          ...responses.map(({ name, unit, kind }) => ({
            heading: kindRules(kind).ownUnit ? headed(inWords(name), unit) : inWords(name),
            numeric: kindRules(kind).cells === "numbers",
          })),
          { heading: "Verdict" },
        ],
        rows: listed.map((coupon) => [
          coupon.id,
          ...definition.factors.map(({ name }) => settingCell(ownValue(coupon.settings, name))),
          ...responses.map(({ name }) => {
            const result = resultOf(coupon, name);
            const shown = result === undefined ? undefined : cellOf(result);
            return typeof shown === "boolean" ? (shown ? "pass" : "fail") : cell(shown);
          }),
          coupon.state === "planned" ? "planned" : judgeCoupon({ definition }, coupon),
        ]),
      },
      ...(changes.length + incidents.length === 0
        ? []
        : [
            {
              caption: "Changes and incidents",
              columns: [
                { heading: "Entry", numeric: true },
                { heading: "What" },
                { heading: "Coupon" },
                { heading: "Detail" },
              ],
              rows: [
                ...changes.map((c) => [
                  String(c.seq),
                  inWords(c.what),
                  c.before === undefined ? "" : `before ${c.before}`,
                  c.detail ?? "",
                ]),
                ...incidents.map((i) => [
                  String(i.seq),
                  inWords(i.what),
                  i.coupon ?? "",
                  [inWords(i.outcome), lostText(i.lostTime), i.note].filter(Boolean).join("; "),
                ]),
              ],
            },
          ]),
    ],
  };
}

/** Time lost in the unit it was told in; nothing where it was not told. */
const lostText = (lost: Incident["lostTime"]): string | undefined =>
  lost === undefined ? undefined : `lost ${withUnit(brief(lost.value), lost.unit)}`;
