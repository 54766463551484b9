import { onlyDefined } from "../errors/index.js";
import { counted } from "../numeric/index.js";
import { appendEntries, exportCsv, type PlannedBody, type Study } from "../study/index.js";
import { writeText } from "./files.js";
import type { CommandIo } from "./io.js";

/** A coupon to be written to the journal as planned. */
export interface PlannedCoupon {
  readonly settings: PlannedBody["values"];
  readonly role: string;
  readonly note?: string;
}

/** Writes planned coupons to the journal and, when asked, to a CSV with empty response columns; with `dry` neither. */
export function recordPlanned({
  io,
  study,
  runs,
  csv,
  dry,
}: {
  readonly io: CommandIo;
  readonly study: Study;
  readonly runs: readonly {
    readonly settings: PlannedBody["values"];
    readonly role: string;
    readonly note?: string;
  }[];
  readonly csv?: string;
  readonly dry?: boolean;
}): void {
  if (dry === true) {
    if (csv !== undefined)
      io.note(`--dry writes nothing, ${csv} neither: leave --dry out to plan the coupons and write it\n`);
    return;
  }
  const bodies = runs.map(
    ({ settings, role, note }): PlannedBody => ({
      kind: "planned",
      values: settings,
      role,
      ...onlyDefined({ note }),
    }),
  );
  const before = new Set(study.coupons.map(({ id }) => id));
  const after = appendEntries(study, bodies, { clock: io.clock });
  const added = after.coupons.filter(({ id }) => !before.has(id));
  io.note(
    `${counted(added.length, "coupon")} planned: ${added[0]?.id}${added.length > 1 ? ` to ${added.at(-1)?.id}` : ""}\n`,
  );
  if (csv !== undefined) writeText(io, csv, exportCsv(after, { coupons: added, toFillIn: 1 }));
}
