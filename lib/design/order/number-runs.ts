import { BeadbenchError } from "../../errors/index.js";
import {
  type Axis,
  brokenLimits,
  centrePoint,
  codedFromSettings,
  meetsLimits,
  type Point,
  type Region,
  type Settings,
  settingsOf,
} from "../region/index.js";
import type { PlannedRun } from "../runs/index.js";
import { type Candidate, pullInside } from "../runs/index.js";
import type { Slot } from "./sessions.js";
import type { SettledOrder } from "./settle-order.js";

/** Settings of the control coupon: those given, else the allowed ones nearest the centre. */
export function controlSettings(
  region: Region,
  allowed: Point,
  given: boolean | Settings | undefined,
): Settings {
  if (given === undefined || typeof given === "boolean") {
    return settingsOf(region.axes, pullInside(region, centrePoint(region.axes, 0), allowed));
  }
  codedFromSettings(region.axes, given, "control coupon");
  if (!meetsLimits(region.limits, given)) {
    throw new BeadbenchError(
      "infeasible",
      `the control coupon breaks the limits ${brokenLimits(region.limits, given).join(", ")}; choose settings within them`,
    );
  }
  return given;
}

/** Numbers the slots in their order of work; a new session or a control coupon begins a new whole plot. */
export function numberRuns({
  axes,
  candidates,
  settled,
  slots,
  control,
}: {
  readonly axes: readonly Axis[];
  readonly candidates: readonly Candidate[];
  readonly settled: SettledOrder;
  readonly slots: readonly Slot[];
  readonly control: Settings;
}): readonly PlannedRun[] {
  const blocked = new Set(settled.blocks).size > 1;
  const hard = axes.some((axis) => axis.hard);
  let wholePlot = 0;
  let before: string | undefined;
  return slots.map(({ run, session }, i): PlannedRun => {
    const near = run === "control" ? (slots[i + 1]!.run as number) : run;
    const plot = run === "control" ? `control ${i}` : `${settled.plots[run]} in ${session}`;
    if (plot !== before) wholePlot++;
    before = plot;
    return {
      order: i + 1,
      standardOrder: run === "control" ? 0 : run + 1,
      role: run === "control" ? "control" : candidates[run]!.role,
      ...(blocked ? { block: settled.blocks[near]! + 1 } : {}),
      ...(session > 0 ? { session } : {}),
      ...(hard ? { wholePlot } : {}),
      settings: run === "control" ? control : settingsOf(axes, candidates[run]!.point),
      ...movedFrom(axes, run === "control" ? undefined : candidates[run]!.movedFrom),
    };
  });
}

const movedFrom = (axes: readonly Axis[], point: Point | undefined): Pick<PlannedRun, "movedFrom"> =>
  point === undefined ? {} : { movedFrom: settingsOf(axes, point) };
