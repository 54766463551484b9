import { type ExposureKind, exposureUnits } from "../../study/definition/index.js";
import type { Change, Quantity } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";
import { type Ledger, type RunRecord, runningAt, runningLedger } from "./ledger.js";
import { type Running, runningSince } from "./running.js";

/** A consumable or piece of equipment: when it was last changed, and what has been run on it since. */
export interface Counter {
  readonly what: string;
  readonly changes: number;
  /** RFC 3339 time of the last change. */
  readonly changed: string;
  readonly since: Running;
  /** What was run on each one before, change to change. */
  readonly before: readonly Running[];
  /** How long it is to last, where a change said so. */
  readonly life?: {
    readonly kind: ExposureKind;
    readonly value: number;
    readonly used: number;
    readonly left: number;
  };
}

const kindsOfLife = ["arc_time", "wire", "gas", "starts"] as const satisfies readonly ExposureKind[];

/**
 * Counters of all that was ever changed: tungsten, contact_tip, liner, wire_spool, gas_cylinder, and equipment alike.
 * A life is counted in the running its unit tells: hours of arc, metres of wire, litres of gas, starts; `used` and `left`
 * are in that unit too. The life told last holds until another is told.
 */
export function counters(study: RunRecord, ledger: Ledger = runningLedger(study)): readonly Counter[] {
  const names = [...new Set(study.changes.map(({ what }) => what))];
  return names.map((what) => {
    const changes = study.changes.filter((change) => change.what === what);
    const marks = changes.map((change) => runningAt(ledger, change));
    const since = runningSince(ledger.total, marks.at(-1)!);
    const life = lifeOf(changes.findLast((change) => change.life !== undefined)?.life);
    const used = life === undefined ? undefined : (since[life.kind] ?? 0);
    return {
      what,
      changes: changes.length,
      changed: changes.at(-1)!.time,
      since,
      before: marks.slice(1).map((mark, i) => runningSince(mark, marks[i]!)),
      ...(life === undefined || used === undefined
        ? {}
        : { life: { ...life, used, left: life.value - used } }),
    };
  });
}

function lifeOf(life: Change["life"]): { readonly kind: ExposureKind; readonly value: number } | undefined {
  if (life === undefined) return undefined;
  const kind = kindsOfLife.find((name) => sameDimension(life.unit, exposureUnits[name]));
  return kind === undefined ? undefined : { kind, value: inKind(life, kind) };
}

const inKind = ({ value, unit }: Quantity, kind: ExposureKind): number =>
  convert(value, unit, exposureUnits[kind]);
