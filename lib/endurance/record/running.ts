import { type ExposureKind, exposureKinds, exposureUnits } from "../../study/definition/index.js";
import type { Exposure } from "../../study/index.js";
import { convert } from "../../units/index.js";

/** How much was run, by kind, in the units of `exposureUnits`; a kind that was not told is absent. */
export type Running = Readonly<Partial<Record<ExposureKind, number>>>;

/** Running as logged, in the units of `exposureUnits`. */
export function runningOf(exposure: Exposure | undefined): Running {
  const told = exposure ?? {};
  return Object.fromEntries(
    exposureKinds.flatMap((kind) => {
      const quantity = Object.hasOwn(told, kind) ? told[kind] : undefined;
      return quantity === undefined
        ? []
        : [[kind, convert(quantity.value, quantity.unit, exposureUnits[kind])]];
    }),
  );
}

/** Both together; a kind is told where either tells it. */
export function addRunning(a: Running, b: Running): Running {
  return Object.fromEntries(
    exposureKinds.flatMap((kind) => {
      const [x, y] = [a[kind], b[kind]];
      return x === undefined && y === undefined ? [] : [[kind, (x ?? 0) + (y ?? 0)]];
    }),
  );
}

/** What was run since; a kind that is not told now is absent. */
export function runningSince(now: Running, before: Running): Running {
  return Object.fromEntries(
    exposureKinds.flatMap((kind) => {
      const run = now[kind];
      return run === undefined ? [] : [[kind, Math.max(0, run - (before[kind] ?? 0))]];
    }),
  );
}
