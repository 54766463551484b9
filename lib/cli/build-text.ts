import type { Attempt, BuildProgress } from "../endurance/index.js";
import { counted, percent, significant } from "../numeric/index.js";
import { attemptRow, chanceText, hoursText, standoffAheadText } from "../report/index.js";
import type { ExposureKind } from "../study/definition/index.js";
import { runningText } from "./running-words.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** All builds, one a row. */
export function listText(all: readonly Attempt[]): string {
  if (all.length === 0)
    return "No build was logged; start one with `beadbench build <study> <name> --start --plan <file>`.\n";
  return textTable(
    [
      { title: "build" },
      { title: "started" },
      { title: "state" },
      { title: "layers", align: "right" },
      { title: "arc", align: "right" },
      { title: "incidents", align: "right" },
      { title: "lost", align: "right" },
    ],
    all.map(attemptRow),
  );
}

/** A build started without a plan. */
export function attemptText({ build, state, layers, run, incidents, lostTime }: Attempt): string {
  const ran = Object.entries(run).map(([kind, amount]) => runningText(kind as ExposureKind, amount));
  return [
    `${build}: ${state.replace("_", " ")}, ${layers} layers finished${ran.length === 0 ? "" : `; ${ran.join(", ")}`}\n`,
    incidents.length === 0 ? "" : `${incidents.length} incidents, ${hoursText(lostTime / 60)} lost\n`,
    "Started without a plan: nothing can be said of what is left. Start builds with --plan.\n",
  ].join("");
}

/** A build held against its plan. */
export function progressText({
  attempt,
  done,
  layers,
  height,
  left,
  pace,
  risks,
  gasInCylinder,
  standoff,
  standoffAhead,
  findings,
}: BuildProgress): string {
  const last = standoff.at(-1);
  const open = attempt.state === "running" || attempt.state === "paused";
  return [
    `${attempt.build}: ${attempt.state.replace("_", " ")}, ${done} of ${layers} layers (${percent(done / layers)})${height === null ? "" : `, next start ${significant(height, 4)} mm above the first`}\n`,
    attempt.incidents.length === 0
      ? ""
      : `${counted(attempt.incidents.length, "incident")}, ${hoursText(attempt.lostTime / 60)} lost\n`,
    open
      ? [
          `\nLeft: ${hoursText(left.time)} without stops (${hoursText(left.arcTime)} of arc${Math.abs(pace - 1) < 0.005 ? "" : `, at ${percent(pace)} of the planned arc time`}), ${significant(left.wire)} m of wire, ${significant(left.gas)} L of gas\n`,
          gasInCylinder === null ? "" : `Gas in the cylinder: ${significant(gasInCylinder)} L usable\n`,
          last === undefined
            ? ""
            : `Stand-off last read: ${significant(last.value)} mm after layer ${last.layer}\n`,
          last === undefined ? "" : `${wrap(standoffAheadText(standoffAhead))}\n`,
          `${wrap(`Chance to finish from here: ${chanceText(risks)}`)}\n`,
        ].join("")
      : "",
    findingsBelow(findings),
    open ? "\nStay with the arc; stop and look when something leaves its band.\n" : "",
  ].join("");
}
