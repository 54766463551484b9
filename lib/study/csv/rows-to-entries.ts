import type { Issue } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../definition/index.js";
import { findColumn } from "../definition/index.js";
import type { CouponRecord, EntryBody } from "../journal/index.js";
import type { Study } from "../record/index.js";
import {
  CouponNumbers,
  type Known,
  type KnownCoupon,
  knownCoupons,
  remember,
  sameKnown,
  wasLogged,
} from "../record/index.js";
import { type ComparableRow, hasResult, matchRow } from "./csv-match.js";

/** A row that added nothing. */
export interface SkippedRow {
  readonly line: number;
  readonly coupon: string;
  readonly reason: string;
}

/** Turns the rows of one file, in order, into journal entries. */
export class RowsToEntries {
  readonly bodies: EntryBody[] = [];
  /** Line of the file each body comes from. */
  readonly lines: number[] = [];
  readonly issues: Issue[] = [];
  readonly skipped: SkippedRow[] = [];
  readonly notes: string[] = [];
  readonly #definition: StudyDefinition;
  readonly #known: Map<string, KnownCoupon>;
  readonly #numbers: CouponNumbers;
  /** Coupons of the study that no row has been found to be yet. */
  readonly #free: Map<string, KnownCoupon>;
  readonly #awaited: boolean;
  readonly #strict: boolean;
  readonly #remarks: ReadonlyMap<string, readonly string[]>;
  /** Line by coupon, of rows already seen. */
  readonly #taken = new Map<string, number>();

  /** @param strict - all rows or none; else a row with faults leaves its coupon to a later one */
  constructor(
    { definition, entries, coupons }: Pick<Study, "definition" | "entries" | "coupons">,
    strict: boolean,
  ) {
    this.#strict = strict;
    this.#definition = definition;
    this.#known = knownCoupons(definition, entries);
    this.#numbers = new CouponNumbers(this.#known.keys());
    this.#free = new Map(this.#known);
    this.#awaited = coupons.some(({ state }) => state === "planned");
    this.#remarks = new Map(coupons.map(({ id, notes }) => [id, notes]));
  }

  add(row: ComparableRow): void {
    if (row.issues.length > 0) {
      this.issues.push(...row.issues);
      // All faults at once: a coupon that stands twice is told though other cells are wrong.
      if (this.#strict && row.coupon !== undefined && !this.#isTaken(row.coupon, row.line))
        this.#take(row.coupon, row.line);
      return;
    }
    const match = matchRow({
      definition: this.#definition,
      known: this.#known,
      free: this.#free.values(),
      row,
    });
    if (match.by === "doubt") {
      this.issues.push({ line: row.line, message: match.message });
      return;
    }
    const id = match.by === "none" ? (row.coupon ?? this.#numbers.next()) : match.coupon.id;
    if (this.#isTaken(id, row.line)) return;
    this.#take(id, row.line);
    if (match.by === "none") this.#addNew(id, row);
    else this.#addKnown(match.coupon, row, match.by);
  }

  /** Whether an earlier row has this coupon; then that is a fault. */
  #isTaken(id: string, line: number): boolean {
    const first = this.#taken.get(id);
    if (first === undefined) return false;
    const message = `stands on line ${first} already; give each row its own coupon`;
    this.issues.push({ line, column: "coupon", got: id, message });
    return true;
  }

  #take(id: string, line: number): void {
    this.#taken.set(id, line);
    this.#free.delete(id);
  }

  #push(line: number, body: EntryBody): void {
    this.bodies.push(body);
    this.lines.push(line);
  }

  #addNew(id: string, row: ComparableRow): void {
    const kind = hasResult(this.#definition, row) ? "logged" : "planned";
    const order = row.order === undefined ? {} : { order: row.order };
    const role = row.role === undefined ? {} : { role: row.role };
    this.#push(row.line, { kind, coupon: id, ...order, ...role, ...row.record } as EntryBody);
    remember({
      known: this.#known,
      definition: this.#definition,
      id,
      record: { kind, ...row.record },
      seq: 0,
    });
    this.#numbers.take(id);
    if (row.state === "voided") {
      this.#push(row.line, { kind: "voided", coupon: id, reason: "voided in the imported file" });
    }
    if (row.coupon !== undefined && this.#awaited && kind === "logged") {
      this.notes.push(`line ${row.line}: ${id} was not planned; taken as a new coupon`);
    }
  }

  #addKnown(coupon: KnownCoupon, row: ComparableRow, by: "id" | "settings" | "same-results"): void {
    const { id } = coupon;
    if (row.state === "voided" && !coupon.voided) {
      const message = `coupon ${id} is not voided in the study; void it there, with the reason`;
      this.issues.push({ line: row.line, column: "state", message });
      return;
    }
    if (!hasResult(this.#definition, row) && coupon.logged.size === 0) {
      const changed = row.columns.filter(([name, value]) => isAskedOtherwise(coupon, name, value));
      const left =
        changed.length === 0 ? "" : `; the changed ${changed.map(([name]) => name).join(", ")} is not taken`;
      this.skipped.push({ line: row.line, coupon: id, reason: `no result yet${left}` });
      return;
    }
    const fresh = row.columns.filter(([name, value]) => !wasLogged(coupon, name, value));
    // A setting already planned and not logged again says nothing new about a logged coupon.
    const news =
      coupon.logged.size === 0 ? fresh : fresh.filter(([name, value]) => !isAsPlanned(coupon, name, value));
    this.#noteDepartures(coupon, row);
    const remark = this.#newRemark(id, row.record.note);
    if (news.length > 0) {
      const order = row.order === undefined ? {} : { order: row.order };
      this.#push(row.line, { kind: "logged", coupon: id, ...order, ...pick(row.record, news), ...remark });
    } else if (remark.note !== undefined)
      this.#push(row.line, { kind: "note", coupon: id, text: remark.note });
    else {
      this.skipped.push({ line: row.line, coupon: id, reason: sameReason(coupon, row, by) });
    }
  }

  #noteDepartures(coupon: KnownCoupon, row: ComparableRow): void {
    for (const [name, value] of row.columns) {
      if (coupon.logged.has(name) || !isAskedOtherwise(coupon, name, value)) continue;
      const asked = coupon.settings.get(name);
      if (findColumn(this.#definition, name).role !== "factor") continue;
      this.notes.push(
        `line ${row.line}: ${coupon.id} was run with ${name} = ${said(value)}, planned was ${said(asked)}`,
      );
    }
  }

  /** The lines of a note that the coupon does not carry yet. */
  #newRemark(id: string, note: string | undefined): { readonly note?: string } {
    const there = this.#remarks.get(id) ?? [];
    const lines = (note ?? "").split("\n").filter((line) => line !== "" && !there.includes(line));
    return lines.length === 0 ? {} : { note: lines.join("\n") };
  }
}

const said = (value: Known | undefined): string =>
  typeof value === "number" ? settingDigits(value) : String(value);

function sameReason(coupon: KnownCoupon, row: ComparableRow, by: string): string {
  if (row.columns.some(([name]) => coupon.superseded.has(name))) return "already logged, and corrected since";
  return by === "same-results"
    ? `same settings and results as ${coupon.id}`
    : "already logged with the same values";
}

function isAsPlanned(coupon: KnownCoupon, name: string, value: Known): boolean {
  const asked = coupon.settings.get(name);
  return asked !== undefined && !coupon.logged.has(name) && sameKnown(asked, value);
}

function isAskedOtherwise(coupon: KnownCoupon, name: string, value: Known): boolean {
  const asked = coupon.settings.get(name);
  return asked !== undefined && !sameKnown(asked, value);
}

/** The part of a record that concerns some of its columns. */
function pick(record: CouponRecord, columns: readonly (readonly [string, Known])[]): CouponRecord {
  const names = new Set(columns.map(([name]) => name));
  const only = <T>(fields: Readonly<Record<string, T>> = {}): Record<string, T> =>
    Object.fromEntries(Object.entries(fields).filter(([name]) => names.has(name)));
  return { values: only(record.values), units: only(record.units), readings: only(record.readings) };
}
