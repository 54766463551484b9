import { BeadbenchError, ownValue } from "../errors/index.js";
import { rounds } from "../numeric/index.js";
import type { EntryBody } from "../study/journal/index.js";
import { appendEntries, correctionOf, dayOfLogging, type Study } from "../study/record/index.js";
import type { CommandIo } from "./io.js";
import type { TraceAnswer, TracedStretch } from "./trace-answer.js";

/** Digits kept of what a trace tells: more than any logger has. */
const DIGITS = 6;

/** What went to the journal. */
export interface LoggedTraces {
  readonly coupons: readonly string[];
  /** Entries written; none where all was on record already. */
  readonly entries: number;
}

/**
 * Writes what a trace tells to its coupons, as measured context. What a trace told before is corrected where it tells
 * something else now, and left alone where it does not.
 */
export function logTraces(
  io: CommandIo,
  study: Study | undefined,
  { file, partial, stretches }: TraceAnswer,
): LoggedTraces {
  if (study === undefined)
    throw new BeadbenchError("bad-argument", "--log needs a study: name it before the file");
  const note = `traced from ${file}${partial ? ", of which the end is missing" : ""}`;
  const bodies = stretches.flatMap((stretch) => bodiesOf(io, study, { stretch, note }));
  if (bodies.length > 0) appendEntries(study, bodies, { clock: io.clock });
  return { coupons: stretches.map(({ name }) => name), entries: bodies.length };
}

function bodiesOf(
  io: CommandIo,
  study: Study,
  { stretch, note }: { readonly stretch: TracedStretch; readonly note: string },
): readonly EntryBody[] {
  const { name: coupon, context, arcTime, from, to } = stretch;
  if (arcTime === 0) return [];
  const before = study.coupons.find(({ id }) => id === coupon)!.context;
  const now = Object.entries(context).map(([column, { value, unit }]) => ({
    column,
    value: rounds(value, DIGITS),
    unit,
  }));
  const fresh = now.filter(({ column }) => ownValue(before, column) === undefined);
  const changed = now.filter(({ column, value }) => {
    const stood = ownValue(before, column);
    return stood !== undefined && stood.value !== value;
  });
  const seconds = `${note}, ${rounds(from ?? 0, DIGITS)} to ${rounds(to ?? 0, DIGITS)} s`;
  const values = (columns: typeof now): Record<string, number> =>
    Object.fromEntries(columns.map(({ column, value }) => [column, value]));
  const units = (columns: typeof now): Record<string, string> =>
    Object.fromEntries(columns.map(({ column, unit }) => [column, unit]));
  return [
    ...(fresh.length === 0
      ? []
      : [
          {
            kind: "logged" as const,
            coupon,
            values: { ...dayOfLogging({ study, coupon, now: io.clock() }), ...values(fresh) },
            units: units(fresh),
            note: seconds,
          },
        ]),
    ...changed.map((column) =>
      correctionOf(study, coupon, { values: values([column]), units: units([column]), reason: seconds }),
    ),
  ];
}
