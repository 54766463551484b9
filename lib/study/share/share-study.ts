import { onlyDefined, ownValue } from "../../errors/index.js";
import { findColumn, type StudyDefinition } from "../definition/index.js";
import type { Entry, EntryBody } from "../journal/index.js";
import type { Study } from "../record/index.js";

/** The value of `schema` in a shared study. */
export const SHARE_SCHEMA = "beadbench/share/1";

/** Parts of a study that are left out of a shared one unless they are asked for. */
export const privateParts = ["text", "costs"] as const;
export type PrivatePart = (typeof privateParts)[number];

/** An entry of a shared study: what it says, and when it was written. */
export type SharedEntry = EntryBody & { readonly time: string };

/** A study in one file, for another shop. Plain data. */
export interface SharedStudy {
  readonly schema: typeof SHARE_SCHEMA;
  readonly definition: StudyDefinition;
  /** Numbered from 1 in their order; corrections and voids name these numbers. */
  readonly entries: readonly SharedEntry[];
  /** A preset, with the number of the last entry it was made from, where it was made from these. */
  readonly preset?: { readonly content: unknown; readonly madeFrom?: number };
  /** What was left out, in words. */
  readonly leftOut: readonly string[];
}

/** Stands for a reason that was left out: a correction or void has one. */
const UNSAID = "left out of the shared copy";

/**
 * A study as another shop may have it: definition and record, without names and numbers of requests, without files, and, unless
 * `parts` asks for them, without what was written freely (notes, reasons, causes, details, texts in columns of one's own, the name of
 * the rig) and without prices. Blocks, which may name people, days or cylinders, get numbers in the order of their names. What
 * fit, window and preset go by is kept: they give the same numbers.
 *
 * Names of coupons, columns and levels go as they stand: look them over.
 */
export function shareStudy(study: Study, parts: readonly PrivatePart[] = []): SharedStudy {
  const withText = parts.includes("text");
  const kept = study.entries.filter(({ kind }) => kind !== "attached" && (withText || kind !== "note"));
  const numbers = new Map(kept.map(({ seq }, i) => [seq, i + 1]));
  const blocks = blockNumbers(study);
  const { definition } = study;
  return {
    schema: SHARE_SCHEMA,
    definition: sharedDefinition(definition, parts),
    entries: kept.flatMap((entry) => {
      const body = bodyOf(entry);
      const named = "entry" in body && body.entry !== undefined ? numbers.get(body.entry) : undefined;
      // What speaks of an entry that stays here has nothing to say there.
      if ("entry" in body && body.entry !== undefined && named === undefined) return [];
      const numbered = { ...body, ...onlyDefined({ entry: named }) } as EntryBody;
      return [{ ...(withText ? numbered : withoutText(definition, blocks, numbered)), time: entry.time }];
    }),
    leftOut: leftOutWords(study, parts),
  };
}

function bodyOf(entry: Entry): EntryBody {
  const { seq: _, time: _time, batchEnd: _end, request: _request, prev: _prev, hash: _hash, ...body } = entry;
  const { plan: _plan, ...rest } = body as { readonly plan?: string };
  return rest as EntryBody;
}

function sharedDefinition(definition: StudyDefinition, parts: readonly PrivatePart[]): StudyDefinition {
  const { costs, rig, ...rest } = definition;
  const { name, ...unnamed } = rig ?? { settings: {} };
  return {
    ...rest,
    ...(rig === undefined
      ? {}
      : { rig: { ...unnamed, ...(parts.includes("text") ? onlyDefined({ name }) : {}) } }),
    ...(parts.includes("costs") ? onlyDefined({ costs }) : {}),
  };
}

type BlockNumbers = ReadonlyMap<string, ReadonlyMap<string, string>>;

/** Numbers for the names of each block, which sort as the names do. */
function blockNumbers({ definition, entries }: Study): BlockNumbers {
  return new Map(
    definition.blocks.map((block) => {
      const names = new Set(
        entries.flatMap((entry) =>
          "values" in entry && entry.values !== undefined && Object.hasOwn(entry.values, block)
            ? [String(ownValue(entry.values, block))]
            : [],
        ),
      );
      const width = String(names.size).length;
      return [block, new Map([...names].sort().map((name, i) => [name, String(i + 1).padStart(width, "0")]))];
    }),
  );
}

function withoutText(definition: StudyDefinition, blocks: BlockNumbers, body: EntryBody): EntryBody {
  const {
    note: _note,
    cause: _cause,
    detail: _detail,
    ...rest
  } = body as {
    readonly note?: string;
    readonly cause?: string;
    readonly detail?: string;
    readonly reason?: string;
    readonly values?: Readonly<Record<string, unknown>>;
  };
  const { values, reason } = rest;
  const shared = Object.entries(values ?? {}).flatMap(
    ([name, value]): readonly (readonly [string, unknown])[] => {
      const number = blocks.get(name)?.get(String(value));
      if (number !== undefined) return [[name, number]];
      return typeof value === "string" && findColumn(definition, name).role === "context"
        ? []
        : [[name, value]];
    },
  );
  return {
    ...rest,
    ...(values === undefined ? {} : { values: Object.fromEntries(shared) }),
    ...(reason === undefined ? {} : { reason: UNSAID }),
  } as unknown as EntryBody;
}

function leftOutWords({ definition, entries }: Study, parts: readonly PrivatePart[]): readonly string[] {
  const files = entries.filter(({ kind }) => kind === "attached").length;
  return [
    ...(files > 0 ? ["attached files, photos among them"] : []),
    ...(parts.includes("text")
      ? []
      : [
          "notes, reasons, causes, details and texts in columns of your own",
          ...(definition.rig?.name === undefined ? [] : ["the name of the rig"]),
          ...(definition.blocks.length === 0
            ? []
            : [`names of ${definition.blocks.join(", ")}, which got numbers`]),
        ]),
    ...(definition.costs === undefined || parts.includes("costs") ? [] : ["prices"]),
  ];
}
