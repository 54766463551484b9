import { onlyDefined } from "../../errors/index.js";
import { foldedName, hashedName } from "./file-name.js";
import type { History, HistoryNode } from "./history.js";
import type { AttachedBody, Entry } from "./journal-entry.js";
import { type NamedThing, SharedNames } from "./shared-names.js";

/** A coupon or build that is not called what the line that began it says. */
export interface RenamedThing {
  readonly what: "coupon" | "build";
  /** The name it was given, which another keeps. */
  readonly was: string;
  readonly now: string;
  /** Number of the entry that began it. */
  readonly entry: number;
}

/** The entries of several copies as one record. */
export interface MergedEntries {
  /** Numbered from 1 in the order of all copies; names and numbers in them are those of this record. */
  readonly entries: readonly Entry[];
  readonly renamed: readonly RenamedThing[];
  /** Number of an entry as new lines of this journal must write it: its place in the file. */
  readonly placeOf: (entry: number) => number;
  /** Whether one entry was written with the other on record; entries are named by their numbers. */
  readonly knew: (later: number, earlier: number) => boolean;
}

/**
 * Puts the lines of several copies into one record: in the order of the history, with each name and entry number translated from
 * what it meant to whoever wrote it. Run orders given apart follow each other as the coupons do.
 *
 * @param places - hashes of all lines, own and carried, by their place in the file
 */
export function mergedEntries(history: History, places: ReadonlyMap<string, number>): MergedEntries {
  const nodes = history.inOrder();
  const numbers = new Map(nodes.map((node, i) => [node.line.hash, i + 1]));
  const coupons = new SharedNames(history);
  const builds = new SharedNames(history);
  const things = nodes.map((node) => thingsOf({ node, coupons, builds }));
  const files = localFiles(nodes, places);
  const begun = coupons.all().map(({ began }) => ({ began, number: numbers.get(began.line.hash)! }));
  const entries = nodes.map((node, i): Entry => {
    const { batchEnd: _, ...line } = node.line;
    const { coupon, before, build } = things[i]!;
    const named = {
      coupon: coupon && coupons.nameOf(coupon),
      before: before && coupons.nameOf(before),
      build: build && builds.nameOf(build),
    };
    return {
      ...line,
      ...onlyDefined(named),
      ...onlyDefined({
        entry: entryMeant(history, node, numbers),
        order: orderAmong({ history, node, begun, own: i + 1 }),
        file: files.get(node.line.hash),
        plan: planFile({ history, node, nodes, files }),
        note:
          coupon?.began === node && named.coupon !== coupon.name ? renamedNote(node, coupon.name) : undefined,
      }),
      seq: i + 1,
    } as unknown as Entry;
  });
  const byNumber = (number: number): HistoryNode | undefined => nodes[number - 1];
  return {
    entries,
    renamed: [...renamedOf("coupon", coupons, numbers), ...renamedOf("build", builds, numbers)],
    placeOf: (number) => places.get(byNumber(number)?.line.hash ?? "") ?? number,
    knew: (later, earlier) => {
      const [a, b] = [byNumber(later), byNumber(earlier)];
      return a !== undefined && b !== undefined && history.knew(a, b);
    },
  };
}

/** The coupons and the build that a line speaks of. */
function thingsOf({
  node,
  coupons,
  builds,
}: {
  readonly node: HistoryNode;
  readonly coupons: SharedNames;
  readonly builds: SharedNames;
}): { readonly coupon?: NamedThing; readonly before?: NamedThing; readonly build?: NamedThing } {
  const { kind, coupon, before, build, event } = node.line;
  const meant = (names: SharedNames, name: unknown, begins: boolean): NamedThing | undefined =>
    typeof name === "string"
      ? (names.meant(node, name) ?? (begins ? names.begin(node, name) : undefined))
      : undefined;
  return onlyDefined({
    coupon: meant(coupons, coupon, kind === "planned" || kind === "logged"),
    before: meant(coupons, before, false),
    build: meant(builds, build, kind === "build" && event === "started"),
  });
}

/** An entry that was not found is no entry's number, and changes nothing. */
function entryMeant(
  history: History,
  node: HistoryNode,
  numbers: ReadonlyMap<string, number>,
): number | undefined {
  const { entry } = node.line;
  if (typeof entry !== "number") return undefined;
  return numbers.get(history.numbered(node, entry)?.line.hash ?? "") ?? 0;
}

/** A run order counts on from coupons that other copies began earlier, of which whoever wrote it did not know. */
function orderAmong({
  history,
  node,
  begun,
  own,
}: {
  readonly history: History;
  readonly node: HistoryNode;
  readonly begun: readonly { readonly began: HistoryNode; readonly number: number }[];
  readonly own: number;
}): number | undefined {
  const { order } = node.line;
  if (typeof order !== "number") return undefined;
  const apart = begun.filter(({ began, number }) => number < own && !history.knew(node, began));
  return order + apart.length;
}

/** Names of attached files in this folder: of files of one name and other bytes, those carried later have their hash in it. */
function localFiles(
  nodes: readonly HistoryNode[],
  places: ReadonlyMap<string, number>,
): ReadonlyMap<string, string> {
  const attached = nodes
    .filter(({ line }) => line.kind === "attached")
    .map(({ line }) => line as unknown as Entry<AttachedBody>)
    .sort((a, b) => places.get(a.hash)! - places.get(b.hash)!);
  const kept = new Map<string, { readonly file: string; readonly sha256: string }>();
  return new Map(
    attached.map(({ hash, file, sha256 }) => {
      const held = kept.get(foldedName(file));
      const name =
        held === undefined || (held.file === file && held.sha256 === sha256)
          ? file
          : hashedName(file, sha256);
      kept.set(foldedName(name), { file: name, sha256 });
      return [hash, name];
    }),
  );
}

function planFile({
  history,
  node,
  nodes,
  files,
}: {
  readonly history: History;
  readonly node: HistoryNode;
  readonly nodes: readonly HistoryNode[];
  readonly files: ReadonlyMap<string, string>;
}): string | undefined {
  const { plan } = node.line;
  if (typeof plan !== "string") return undefined;
  const attached = nodes.findLast(
    (other) => other.line.kind === "attached" && other.line.file === plan && history.knew(node, other),
  );
  return attached === undefined ? undefined : files.get(attached.line.hash);
}

function renamedNote({ line }: HistoryNode, was: string): string {
  const own = typeof line.note === "string" ? `${line.note}\n` : "";
  return `${own}numbered ${was} where it was begun; another ${was} was begun earlier on another copy of the study`;
}

const renamedOf = (
  what: RenamedThing["what"],
  names: SharedNames,
  numbers: ReadonlyMap<string, number>,
): readonly RenamedThing[] =>
  names.all().flatMap((thing) => {
    const now = names.nameOf(thing);
    return now === thing.name
      ? []
      : [{ what, was: thing.name, now, entry: numbers.get(thing.began.line.hash)! }];
  });
