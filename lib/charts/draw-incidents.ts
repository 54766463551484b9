import {
  type IncidentGrowth,
  type IncidentJudgement,
  type RunRecord,
  runningAt,
  runningLedger,
} from "../endurance/index.js";
import { inWords, sentence } from "../numeric/index.js";
import { exposureUnits } from "../study/index.js";
import { chartGrowth } from "./growth.js";
import { chartPareto } from "./pareto.js";
import { axisTitle, type ChartSpec } from "./spec.js";

/**
 * What each kind of incident cost, the costliest first: minutes lost, with those of builds it ended, or how many where no
 * time is known.
 *
 * @throws {BeadbenchError} `bad-argument` where no incident was logged
 */
export function drawIncidents({ causes }: IncidentJudgement): ChartSpec {
  const timed = causes.some(({ lostTime, buildTime }) => lostTime + buildTime > 0);
  return chartPareto({
    title: "What went wrong, and what it cost",
    measure: timed ? "Minutes lost, scrapped builds with them" : "Incidents",
    bars: causes.map(({ what, incidents, lostTime, buildTime, scrapped }) => ({
      name: what,
      value: timed ? lostTime + buildTime : incidents,
      note: `${incidents === 1 ? "once" : `${incidents} times`}${scrapped === 0 ? "" : `, ${scrapped} scrapped`}`,
    })),
  });
}

/**
 * Incidents counted over all running of a rig, with the fitted law and the changes made.
 *
 * @param what - kind of incident; all when left out
 * @throws {BeadbenchError} `bad-argument` without an incident, or where that running was not told
 */
export function drawGrowth(
  study: RunRecord,
  { times, end, per, growth }: IncidentGrowth,
  what?: string,
): ChartSpec {
  const ledger = runningLedger(study);
  return chartGrowth({
    what: what === undefined ? "All incidents" : sentence(inWords(what)),
    running: axisTitle({ name: per, unit: exposureUnits[per] }),
    times,
    end,
    ...(growth === null ? {} : { law: { scale: growth.fit.scale, shape: growth.fit.shape.estimate } }),
    // What was in place before anything was run is no change.
    marks: study.changes
      .map((change) => ({ at: runningAt(ledger, change)[per] ?? 0, name: inWords(change.what) }))
      .filter(({ at }) => at > 0),
  });
}
