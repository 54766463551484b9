import { drawGrowth, drawIncidents } from "../charts/index.js";
import {
  type Attempt,
  attempts,
  type CauseRecord,
  type Counter,
  counters,
  growthOfIncidents,
  judgeIncidents,
  type Ledger,
} from "../endurance/index.js";
import { brief, inWords, levelPercent, percent, significant } from "../numeric/index.js";
import { type ExposureKind, exposureUnits, type Study } from "../study/index.js";
import { attemptRow } from "./build-words.js";
import type { ReportSection, ReportTable } from "./document.js";

/** What went wrong, what it cost, the builds, and what is due; none where nothing of it was logged. */
export function incidentSections(study: Study): readonly ReportSection[] {
  const builds = attempts(study);
  const due = counters(study).filter(({ life }) => life !== undefined);
  if (study.incidents.length + builds.length + due.length === 0) return [];
  const judgement = judgeIncidents(study);
  const growth = growthOfIncidents(study, { per: countedBy(judgement.ledger) });
  return [
    {
      heading: "Incidents and builds",
      findings: judgement.findings,
      tables: [
        ...(judgement.causes.length === 0 ? [] : [causeTable(judgement.causes, judgement.confidence)]),
        ...(builds.length === 0 ? [] : [buildTable(builds)]),
        ...(due.length === 0 ? [] : [dueTable(due)]),
      ],
      charts: [
        ...(judgement.causes.length < 2
          ? []
          : [
              {
                spec: drawIncidents(judgement),
                caption: "What each kind of incident cost, the costliest first.",
              },
            ]),
        ...(growth.growth === null
          ? []
          : [
              {
                spec: drawGrowth(study, growth),
                caption: "Incidents over all running so far: a curve that bends down gets better.",
              },
            ]),
      ],
    },
  ];
}

/** What incidents are counted over: arc time where every build and coupon tells it, else starts. */
export function countedBy({ untold }: Ledger): ExposureKind {
  return (untold.arc_time ?? 0) === 0 ? "arc_time" : "starts";
}

function causeTable(causes: readonly CauseRecord[], confidence: number): ReportTable {
  const scraps = causes.some(({ buildTime }) => buildTime > 0);
  return {
    caption: `Incidents by kind, the costliest first; rates with ${levelPercent(confidence)} bounds`,
    columns: [
      { heading: "What" },
      { heading: "Incidents", numeric: true },
      { heading: "Scrapped", numeric: true },
      { heading: "Minutes lost", numeric: true },
      ...(scraps ? [{ heading: "Of builds it ended", numeric: true }] : []),
      { heading: "Share", numeric: true },
      { heading: "Rate" },
    ],
    rows: causes.map(({ what, incidents, scrapped, timed, lostTime, buildTime, share, rate, per }) => [
      inWords(what),
      String(incidents),
      String(scrapped),
      timed === 0 ? "" : brief(lostTime),
      ...(scraps ? [buildTime === 0 ? "" : brief(buildTime)] : []),
      percent(share),
      rate === null
        ? `${inWords(per)} not told`
        : `${significant(rate.estimate, 2)} (${significant(rate.lower, 2)} to ${significant(rate.upper, 2)}) ${unitOf(per)}`,
    ]),
  };
}

const unitOf = (kind: ExposureKind): string =>
  exposureUnits[kind] === "1"
    ? `per ${kind.replace(/s$/, "")}`
    : `per ${exposureUnits[kind]} of ${inWords(kind)}`;

function buildTable(builds: readonly Attempt[]): ReportTable {
  return {
    caption: "Builds, in the order they were started",
    columns: [
      { heading: "Build" },
      { heading: "Started" },
      { heading: "Ended" },
      { heading: "Layers", numeric: true },
      { heading: "Arc", numeric: true },
      { heading: "Incidents", numeric: true },
      { heading: "Lost", numeric: true },
    ],
    rows: builds.map(attemptRow),
  };
}

function dueTable(due: readonly Counter[]): ReportTable {
  return {
    caption: "What is to be changed again, and when",
    columns: [
      { heading: "What" },
      { heading: "Changed" },
      { heading: "Used" },
      { heading: "Life", numeric: true },
    ],
    rows: due.map(({ what, changed, life }) => [
      inWords(what),
      changed.slice(0, 10),
      percent(life!.used / life!.value),
      `${significant(life!.value)} ${exposureUnits[life!.kind] === "1" ? "starts" : exposureUnits[life!.kind]}`,
    ]),
  };
}
