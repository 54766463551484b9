import type { Quantity } from "../definition/index.js";
import { canonicalBeside } from "./canonical-json.js";
import { digest } from "./digest.js";

/** Values by column name: a number, the level of a category or block, or pass (true) and fail (false). */
export type Values = Readonly<Record<string, number | string | boolean>>;

/** What a journal entry says of a coupon's columns, in the units as written down. */
export interface CouponRecord {
  readonly values: Values;
  /** Unit of each number in `values` and `readings`; filled from the definition when left out. */
  readonly units?: Readonly<Record<string, string>>;
  /** Station readings of a response, in the order of the stations. */
  readonly readings?: Readonly<Record<string, readonly number[]>>;
  readonly note?: string;
}

/** A coupon to be run. */
export interface PlannedBody extends CouponRecord {
  readonly kind: "planned";
  /** Given the next free id when left out. */
  readonly coupon?: string;
  /** Place in the run order; the next when left out. */
  readonly order?: number;
  /** Why it is run: corner, centre, control, repeat. */
  readonly role?: string;
}

/** What was set and measured on a coupon; several entries of one coupon add up. */
export interface LoggedBody extends CouponRecord {
  readonly kind: "logged";
  /** A coupon that was not planned is new; it is given the next free id when left out. */
  readonly coupon?: string;
  readonly order?: number;
  readonly role?: string;
}

/**
 * Replaces columns of an earlier planned or logged entry. `null` withdraws a value. A number without a unit is in
 * the unit of the entry corrected; a unit without a number gives the number that was written another unit.
 */
export interface CorrectedBody {
  readonly kind: "corrected";
  /** `seq` of the entry corrected. */
  readonly entry: number;
  readonly values?: Readonly<Record<string, number | string | boolean | null>>;
  readonly units?: Readonly<Record<string, string>>;
  readonly readings?: Readonly<Record<string, readonly number[]>>;
  readonly reason: string;
}

/** Marks a whole coupon, or one entry, as not to be used. */
export interface VoidedBody {
  readonly kind: "voided";
  readonly coupon?: string;
  readonly entry?: number;
  readonly reason: string;
}

/** How much was run, by name: starts, layers, arc_time, machine_time, wire, gas. */
export type Exposure = Readonly<Record<string, Quantity>>;

/** Something that went wrong, on a coupon or in a build. */
export interface IncidentBody {
  readonly kind: "incident";
  /** What happened, in snake_case: stubbing, wire_stuck, arc_lost, tungsten_touched. */
  readonly what: string;
  /** `resumed` lost time only; `scrapped` lost the part. */
  readonly outcome: "carried_on" | "resumed" | "scrapped";
  /** Why, in the user's own words. */
  readonly cause?: string;
  readonly coupon?: string;
  /** The build it happened in. */
  readonly build?: string;
  /** The layer that was being laid, from 1. */
  readonly layer?: number;
  /** How much of the build had been run when it happened, such as `{ arc_time: { value: 3.2, unit: "h" } }`. */
  readonly exposure?: Exposure;
  readonly lostTime?: Quantity;
  readonly note?: string;
}

/** Equipment or a consumable was changed. */
export interface ChangeBody {
  readonly kind: "change";
  /** What was changed, in snake_case: tungsten, gas_cylinder, contact_tip, wire_spool. */
  readonly what: string;
  readonly detail?: string;
  /** First coupon run after the change. */
  readonly before?: string;
  /** The build it was made in. */
  readonly build?: string;
  /** Running after which it is due again: a time of arc, a length of wire, a volume of gas, or a number of starts. */
  readonly life?: Quantity;
}

/** One step in the life of a build: many layers, run over hours or days. */
export interface BuildBody {
  readonly kind: "build";
  /** Name of the build, such as ring-3. */
  readonly build: string;
  /** `started` comes first and once, `ended` last; between them progress, pauses and what was read. */
  readonly event: "started" | "progress" | "paused" | "resumed" | "ended";
  /** Layers finished so far. */
  readonly layer?: number;
  /** Run so far in this build. */
  readonly exposure?: Exposure;
  /** What was read: standoff, height, interpass_temperature, cylinder_pressure. */
  readonly values?: Readonly<Record<string, number>>;
  readonly units?: Readonly<Record<string, string>>;
  /** Of a build that ended. */
  readonly outcome?: "finished" | "scrapped" | "given_up";
  /** File in attachments that holds what was planned. */
  readonly plan?: string;
  readonly note?: string;
}

/** A remark, on one coupon where it names an id, else on the study; it changes no value. */
export interface NoteBody {
  readonly kind: "note";
  readonly text: string;
  readonly coupon?: string;
}

/** A file kept with the study. */
export interface AttachedBody {
  readonly kind: "attached";
  /** Path inside the folder attachments, with `/`. */
  readonly file: string;
  readonly sha256: string;
  readonly coupon?: string;
  readonly note?: string;
}

/** What an entry says, by its `kind`; numbers stand in the unit of study.json unless they carry their own. */
export type EntryBody =
  | PlannedBody
  | LoggedBody
  | CorrectedBody
  | VoidedBody
  | IncidentBody
  | ChangeBody
  | BuildBody
  | NoteBody
  | AttachedBody;

/** What the journal adds to a body. */
export interface EntrySeal {
  /** 1, 2, 3 ... */
  readonly seq: number;
  /** RFC 3339. */
  readonly time: string;
  /** `seq` of the last entry written together with this one; absent when it was written alone. */
  readonly batchEnd?: number;
  /** Name of the request that asked for it, where whoever asked gave one: a request sent twice is written once. */
  readonly request?: string;
  /** Hash of the entry before; 64 zeros for the first. */
  readonly prev: string;
  /** SHA-256 of the canonical JSON of the entry without this field, in hex. */
  readonly hash: string;
}

export type Entry<Body extends EntryBody = EntryBody> = Body & EntrySeal;

/** `prev` of the first entry. */
export const NO_ENTRY = "0".repeat(64);

/** The hash an entry must carry. */
export function entryHash(entry: object): string {
  return digest(canonicalBeside(entry, "hash"));
}

/** When entries are written, and who asked for them. */
export type EntryStamp = Pick<EntrySeal, "time" | "request">;

/** Chains bodies, written together at one time, to the entry before. */
export function sealEntries(
  bodies: readonly EntryBody[],
  last: Pick<EntrySeal, "seq" | "hash"> | undefined,
  stamp: EntryStamp,
): readonly Entry[] {
  const first = (last?.seq ?? 0) + 1;
  const batch = bodies.length > 1 ? { batchEnd: first + bodies.length - 1 } : {};
  let prev = last?.hash ?? NO_ENTRY;
  return bodies.map((body, i) => {
    const content = { seq: first + i, ...stamp, ...batch, ...body, prev };
    prev = entryHash(content);
    return { ...content, hash: prev };
  });
}
