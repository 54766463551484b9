import { NO_ENTRY } from "./journal-entry.js";
import { isMergeLine, type SealedLine } from "./journal-line.js";

/** A line among all that a journal knows, its own and those of other copies. */
export interface HistoryNode {
  readonly line: SealedLine;
  /** The line before it in the journal it was written to; none for the first. */
  readonly prev: HistoryNode | undefined;
  /** Moment of writing, ms; never before that of a line it knew of, whatever a clock said. */
  readonly time: number;
  /** Longest way from a first line to it, merges not counted: tells lines of one moment apart. */
  readonly depth: number;
  /** The run of lines it lies in, and its place there. */
  readonly run: number;
  readonly place: number;
  /** By run, the place of the last line it knew of; none for -1. */
  readonly known: readonly number[];
}

/**
 * What the lines of several copies knew of each other. A line knows the one it followed and, after a merge, all that the other
 * copy had; two lines of which neither knows the other were written apart.
 *
 * The order of lines rests on nothing but the lines themselves: the moment, pushed on where a clock stood before that of a line
 * known, then depth, then hash. So a line comes after all it knew of, and every copy puts the same lines in the same order,
 * whatever was merged into what.
 */
export class History {
  private readonly nodes = new Map<string, HistoryNode>();
  private runs = 0;
  private readonly continued = new Set<HistoryNode>();

  find(hash: string): HistoryNode | undefined {
    return this.nodes.get(hash);
  }

  /**
   * Adds a line after those it knew of.
   *
   * @param before - what it is put after where the line it follows is not here, because that is damaged
   * @returns whether all that it names is here
   */
  add(line: SealedLine, before?: HistoryNode): boolean {
    const followed = this.nodes.get(line.prev);
    const prev = followed ?? (line.prev === NO_ENTRY ? undefined : before);
    const tip = isMergeLine(line) ? this.nodes.get(line.tip) : undefined;
    const follows = prev !== undefined && !this.continued.has(prev);
    if (follows) this.continued.add(prev);
    const run = follows ? prev.run : this.runs++;
    const parents = [prev, tip].filter((node): node is HistoryNode => node !== undefined);
    const known = Array.from({ length: this.runs }, (_, i) =>
      Math.max(-1, ...parents.map((node) => node.known[i] ?? -1)),
    );
    const place = follows ? prev.place + 1 : 0;
    known[run] = place;
    const most = (of: (node: HistoryNode) => number): number => Math.max(0, ...parents.map(of));
    const merge = isMergeLine(line);
    const said = merge ? 0 : Date.parse(line.time) || 0;
    this.nodes.set(line.hash, {
      line,
      prev,
      time: Math.max(
        said,
        most(({ time }) => time),
      ),
      depth: most(({ depth }) => depth) + (merge ? 0 : 1),
      run,
      place,
      known,
    });
    return prev === followed && (!merge || tip !== undefined);
  }

  /** Whether whoever wrote `later` had `earlier` before them; a line knows itself. */
  knew(later: HistoryNode, earlier: HistoryNode): boolean {
    return (later.known[earlier.run] ?? -1) >= earlier.place;
  }

  /** The line that whoever wrote `node` saw under a number. */
  numbered(node: HistoryNode, number: number): HistoryNode | undefined {
    for (let at: HistoryNode | undefined = node; at !== undefined && at.line.seq >= number; at = at.prev) {
      const { line } = at;
      if (line.seq === number) return at;
      if (!isMergeLine(line)) continue;
      const first = line.seq - line.brought.length;
      if (number >= first) return this.nodes.get(line.brought[number - first]!);
    }
    return undefined;
  }

  /** All lines that say something, each after what it knew of. */
  inOrder(): readonly HistoryNode[] {
    return [...this.nodes.values()]
      .filter(({ line }) => !isMergeLine(line))
      .sort((a, b) => a.time - b.time || a.depth - b.depth || (a.line.hash < b.line.hash ? -1 : 1));
  }
}
