import type { History, HistoryNode } from "./history.js";

/** A coupon or build, by the line that began it and the name it was given there. */
export interface NamedThing {
  readonly began: HistoryNode;
  readonly name: string;
}

/** Digits of the hash that part a thing from its namesakes. */
const DIGITS = 6;

/**
 * Names that several copies gave apart. Of things of one name, the one begun first keeps it, the others get the first six digits
 * of the hash of the line that began them: C012-3fa92b. What a name means depends on who writes it: it is looked up among the
 * things that whoever wrote a line knew of, under the names these had there.
 *
 * Lines are to be put to it in the order of {@link History.inOrder}.
 */
export class SharedNames {
  private readonly groups = new Map<string, NamedThing[]>();

  constructor(private readonly history: History) {}

  /** The thing a line means by a name; undefined where it knew none of it. */
  meant(node: HistoryNode, name: string): NamedThing | undefined {
    const base = /^(.+)-[0-9a-f]{6}$/.exec(name)?.[1];
    for (const group of [name, ...(base === undefined ? [] : [base])]) {
      const known = (this.groups.get(group) ?? []).filter(({ began }) => this.history.knew(node, began));
      const found = known.find((thing) => nameAmong(known, thing) === name);
      if (found !== undefined) return found;
    }
    return undefined;
  }

  /** A line begins a thing of this name. */
  begin(node: HistoryNode, name: string): NamedThing {
    const thing = { began: node, name };
    this.groups.set(name, [...(this.groups.get(name) ?? []), thing]);
    return thing;
  }

  /** What a thing is called where all lines are known. */
  nameOf(thing: NamedThing): string {
    return nameAmong(this.groups.get(thing.name) ?? [], thing);
  }

  /** All things, in the order they were begun. */
  all(): readonly NamedThing[] {
    return [...this.groups.values()].flat();
  }
}

function nameAmong(group: readonly NamedThing[], thing: NamedThing): string {
  return group[0] === thing ? thing.name : `${thing.name}-${thing.began.line.hash.slice(0, DIGITS)}`;
}
