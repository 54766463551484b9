import { type ColumnTable, desc, op, table } from "arquero";
import { convert } from "../../units/index.js";
import type { Study } from "../record/index.js";

/**
 * The incidents as a table, one row each, in the order they were logged: seq, time, what, outcome, coupon, lost_time in
 * minutes, note. What was not told is null.
 */
export function incidentTable({ incidents }: Pick<Study, "incidents">): ColumnTable {
  return table({
    seq: incidents.map(({ seq }) => seq),
    time: incidents.map(({ time }) => time),
    what: incidents.map(({ what }) => what),
    outcome: incidents.map(({ outcome }) => outcome),
    coupon: incidents.map(({ coupon }) => coupon ?? null),
    lost_time: incidents.map(({ lostTime }) =>
      lostTime === undefined ? null : convert(lostTime.value, lostTime.unit, "min"),
    ),
    note: incidents.map(({ note }) => note ?? null),
  });
}

/** How often one thing went wrong. */
export interface IncidentTally {
  readonly what: string;
  readonly incidents: number;
  /** Of them, how many ended the piece. */
  readonly scrapped: number;
  /** Minutes lost where they were told. */
  readonly lostTime: number;
  /** Incidents of which the time lost was told. */
  readonly timed: number;
}

/**
 * Incidents counted by what happened, the most frequent first, with the minutes they cost. Time is summed where it was
 * told: `timed` says of how many, since the others may have cost as much.
 */
export function tallyIncidents(study: Pick<Study, "incidents">): readonly IncidentTally[] {
  return incidentTable(study)
    .derive({ ended: (row: { outcome: string }) => (row.outcome === "scrapped" ? 1 : 0) })
    .groupby("what")
    .rollup({
      incidents: op.count(),
      scrapped: op.sum("ended"),
      lostTime: op.sum("lost_time"),
      timed: op.valid("lost_time"),
    })
    .orderby(desc("incidents"), "what")
    .objects()
    .map((row) => {
      const { lostTime, ...counts } = row as IncidentTally;
      return { ...counts, lostTime: lostTime ?? 0 };
    });
}
