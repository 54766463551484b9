import type { BuildForecast } from "../endurance/index.js";
import { ownValue } from "../errors/index.js";
import { chartBuildTimeline } from "./build-timeline.js";
import type { ChartSpec } from "./spec.js";

/** s in an hour. */
const HOUR = 3600;

/** A forecast build against the clock, with the changes of cylinder, spool, tungsten and tip that fall due. */
export function drawBuildTimeline({
  supplies,
  time,
  plan,
}: Pick<BuildForecast, "supplies" | "time" | "plan">): ChartSpec {
  let seconds = 0;
  const layers = supplies.layers.map(({ layer, time: taken, changes }) => {
    seconds += taken;
    return {
      layer,
      at: seconds / HOUR,
      changes,
      relevel: ownValue(plan.perLayer, String(layer))?.relevel === true,
    };
  });
  return chartBuildTimeline({
    layers: layers.map(({ layer, at, relevel }) => ({ layer, at, relevel })),
    changes: layers.flatMap(({ layer, at, changes }) => changes.map((what) => ({ layer, at, what }))),
    expected: Math.max(time.expected, seconds / HOUR),
    longest: Math.max(time.longest, time.expected, seconds / HOUR),
  });
}
