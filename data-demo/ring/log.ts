import type { BuildBody, ChangeBody, EntryBody, IncidentBody, StudyEvent } from "../../lib/study/index.js";

const rounds = (value: number, digits: number): number => Number(value.toFixed(digits));

/** How much of one build was run. */
export interface Run {
  starts: number;
  /** h */
  arc: number;
  /** h */
  machine: number;
  /** m */
  wire: number;
  /** L */
  gas: number;
}

/** A logbook with a clock: minutes pass, and what is written gets the time. */
export class Logbook {
  readonly events: StudyEvent[] = [];
  /** ms */
  #now = 0;

  /** Opens the shop of a day at a time. */
  open(time: string): void {
    this.#now = Date.parse(time);
  }

  pass(minutes: number): void {
    this.#now += 60_000 * minutes;
  }

  /** Opens the shop again at half past seven the next morning. */
  sleep(): void {
    const day = new Date(this.#now + 86_400_000).toISOString().slice(0, 10);
    this.open(`${day}T07:30:00Z`);
  }

  /** Whether it is evening. */
  isLate(): boolean {
    return new Date(this.#now).getUTCHours() >= 17;
  }

  write(log: EntryBody): void {
    // Nobody writes down the second, and nothing is written before what stands above it.
    const time = `${new Date(this.#now).toISOString().slice(0, 16)}:00Z`;
    this.events.push({ time, log });
  }

  change(change: Omit<ChangeBody, "kind">): void {
    this.write({ kind: "change", ...change });
  }

  incident(incident: Omit<IncidentBody, "kind" | "lostTime" | "exposure">, lost: number, run: Run): void {
    this.pass(lost);
    this.write({
      kind: "incident",
      ...incident,
      exposure: exposureOf(run),
      lostTime: { value: lost, unit: "min" },
    });
  }

  build(step: Omit<BuildBody, "kind" | "exposure">, run?: Run): void {
    this.write({ kind: "build", ...step, ...(run === undefined ? {} : { exposure: exposureOf(run) }) });
  }
}

function exposureOf(run: Run): NonNullable<BuildBody["exposure"]> {
  return {
    starts: { value: run.starts, unit: "1" },
    arc_time: { value: rounds(run.arc, 2), unit: "h" },
    machine_time: { value: rounds(run.machine, 2), unit: "h" },
    wire: { value: rounds(run.wire, 1), unit: "m" },
    gas: { value: rounds(run.gas, 0), unit: "L" },
  };
}
