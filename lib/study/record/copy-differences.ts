import { type Finding, grouped, ownValue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import {
  type CorrectedBody,
  type CouponEntry,
  type Entry,
  effectiveEntries,
  type JournalReading,
  type MergedEntries,
} from "../journal/index.js";
import { type Known, knownText, recordColumns, sameKnown } from "./known-coupons.js";

/** What is looked at for differences. */
interface Record {
  readonly definition: StudyDefinition;
  readonly entries: readonly Entry[];
  readonly standing: readonly CouponEntry[];
  readonly merged: MergedEntries;
}

/**
 * What copies of a study said differently of one thing while neither knew of the other, and what nobody has settled since they
 * were merged. What was written later stands until then.
 */
export function differencesOfCopies(
  definition: StudyDefinition,
  { entries, merged }: JournalReading,
): readonly Finding[] {
  if (merged === undefined) return [];
  const record = { definition, entries, standing: effectiveEntries(entries), merged };
  return [
    ...valuesLoggedApart(record),
    ...correctionsApart(record),
    ...couponsAlike(record),
    ...voidedApart(record),
    ...buildsApart(record),
  ];
}

/** Pairs of which neither knew of the other, the one written later second. */
function apart<T extends Entry>(
  entries: readonly T[],
  { knew }: MergedEntries,
): readonly (readonly [T, T])[] {
  return entries.flatMap((later, i) =>
    entries
      .slice(0, i)
      .filter((earlier) => !knew(later.seq, earlier.seq))
      .map((earlier) => [earlier, later] as const),
  );
}

/** Whether a correction of one of two entries, made with both on record, settles a column. */
function isSettled(
  { entries, merged }: Record,
  {
    pair,
    column,
    targets,
  }: {
    readonly pair: readonly Entry[];
    readonly column: string;
    readonly targets: readonly number[];
  },
): boolean {
  return entries.some(
    (entry) =>
      entry.kind === "corrected" &&
      targets.includes(entry.entry) &&
      namedIn(entry).includes(column) &&
      pair.every(({ seq }) => seq !== entry.seq && merged.knew(entry.seq, seq)),
  );
}

const namedIn = ({ values, readings, units }: CorrectedBody): readonly string[] => [
  ...Object.keys(values ?? {}),
  ...Object.keys(readings ?? {}),
  ...Object.keys(units ?? {}),
];

function valuesLoggedApart(record: Record): readonly Finding[] {
  const { definition, standing, merged } = record;
  const logged = standing.filter(({ kind }) => kind === "logged");
  return [...grouped(logged, ({ coupon }) => coupon!).values()].flatMap((entries) =>
    apart(entries, merged).flatMap(([earlier, later]) => {
      const before = new Map<string, Known>(recordColumns(definition, earlier));
      return recordColumns(definition, later).flatMap(([column, value]) => {
        const other = before.get(column);
        if (other === undefined || sameKnown(other, value)) return [];
        if (isSettled(record, { pair: [earlier, later], column, targets: [earlier.seq, later.seq] }))
          return [];
        const { coupon } = later;
        return [
          difference({
            code: "copies-logged-apart",
            message: `coupon ${coupon} was logged on two copies of the study: ${column} = ${knownText(other)} (entry ${earlier.seq}) and ${knownText(value)} (entry ${later.seq}); the later stands`,
            advice: `if it was one bead, log a correction with the right value; if it was two, void entry ${later.seq} and log it as a coupon of its own`,
            about: [coupon!, column],
          }),
        ];
      });
    }),
  );
}

function correctionsApart(record: Record): readonly Finding[] {
  const corrections = record.entries.filter(
    (entry) => entry.kind === "corrected",
  ) as readonly Entry<CorrectedBody>[];
  return [...grouped(corrections, ({ entry }) => String(entry)).values()].flatMap((entries) =>
    apart(entries, record.merged).flatMap(([earlier, later]) =>
      namedIn(later)
        .filter((column) => namedIn(earlier).includes(column))
        .filter((column) => correctedText(earlier, column) !== correctedText(later, column))
        .filter((column) => !isSettled(record, { pair: [earlier, later], column, targets: [later.entry] }))
        .map((column) =>
          difference({
            code: "copies-corrected-apart",
            message: `entry ${later.entry} was corrected on two copies of the study: ${column} to ${correctedText(earlier, column)} (entry ${earlier.seq}: ${earlier.reason}) and to ${correctedText(later, column)} (entry ${later.seq}: ${later.reason}); the later stands`,
            advice: "log one more correction with the right value",
            about: [column],
          }),
        ),
    ),
  );
}

function correctedText({ values, readings, units }: CorrectedBody, column: string): string {
  const value = ownValue(readings, column) ?? ownValue(values, column);
  const unit = ownValue(units, column);
  const text = value === null ? "nothing" : value === undefined ? "the same number" : knownText(value);
  return unit === undefined || unit === "1" ? text : `${text} ${unit}`;
}

/** One coupon entered on both copies looks like two. */
function couponsAlike({ definition, entries, standing, merged }: Record): readonly Finding[] {
  const voided = new Set(entries.flatMap((entry) => (entry.kind === "voided" ? [entry.coupon] : [])));
  const byCoupon = grouped(standing, ({ coupon }) => coupon!);
  return merged.renamed.flatMap(({ what, was, now }) => {
    const [kept, other] = [byCoupon.get(was)?.[0], byCoupon.get(now)?.[0]];
    if (what !== "coupon" || kept === undefined || other === undefined) return [];
    const said = (entry: CouponEntry): string =>
      JSON.stringify(recordColumns(definition, entry).toSorted(([a], [b]) => (a < b ? -1 : 1)));
    if (voided.has(was) || voided.has(now) || kept.kind !== other.kind || said(kept) !== said(other))
      return [];
    return [
      difference({
        code: "copies-coupon-twice",
        message: `coupons ${was} and ${now} were ${kept.kind} on two copies of the study with the same values`,
        advice: `if that is one coupon entered twice, void ${now}: it would count twice`,
        about: [was, now],
      }),
    ];
  });
}

function voidedApart({ entries, standing, merged }: Record): readonly Finding[] {
  return entries.flatMap((entry) => {
    if (entry.kind !== "voided" || entry.coupon === undefined) return [];
    const { coupon } = entry;
    const unknown = standing.filter(
      (other) =>
        other.coupon === coupon &&
        other.kind === "logged" &&
        !merged.knew(entry.seq, other.seq) &&
        !merged.knew(other.seq, entry.seq),
    );
    if (unknown.length === 0) return [];
    return [
      difference({
        code: "copies-voided-apart",
        severity: "info",
        message: `coupon ${coupon} was voided on one copy of the study (entry ${entry.seq}: ${entry.reason}) and logged on another (entry ${unknown.map(({ seq }) => seq).join(", ")}); it is voided`,
        advice: "if the bead is good after all, log it as a coupon of its own",
        about: [coupon],
      }),
    ];
  });
}

function buildsApart({ entries, merged }: Record): readonly Finding[] {
  const steps = entries.filter((entry) => entry.kind === "build");
  return [...grouped(steps, ({ build }) => build)].flatMap(([build, own]) => {
    const pair = apart(own, merged).find((two) =>
      own.every((step) => two.some(({ seq }) => seq === step.seq || !merged.knew(step.seq, seq))),
    );
    if (pair === undefined) return [];
    return [
      difference({
        code: "copies-build-apart",
        severity: "info",
        message: `build ${build} was followed on two copies of the study (entries ${pair[0].seq} and ${pair[1].seq} did not know of each other)`,
        advice: `look at \`beadbench build ${build}\`; what was logged twice can be voided by its entry`,
        about: [build],
      }),
    ];
  });
}

function difference(finding: Omit<Finding, "severity"> & Partial<Finding>): Finding {
  return { severity: "warning", ...finding };
}
