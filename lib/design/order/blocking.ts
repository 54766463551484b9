import type { RandomStream } from "../../numeric/index.js";

/** Rounds of swaps from one start; each lowers what is mixed, few are needed. */
const MOST_PASSES = 200;

/**
 * Shares runs out to blocks of nearly equal size so that block offsets disturb the effects least:
 *
 *     minimise  sum over blocks of ||sum of the block's rows z||^2 / n_b
 *
 * where z are rows of orthonormal model columns without the mean. The sum is the part of the effects that
 * is mixed with blocks; 0 means orthogonal blocks. Seeded random starts, then swaps while they help.
 *
 * @returns block of each run, from 0
 */
export function shareOutBlocks({
  columns,
  runs,
  blocks,
  stream,
}: {
  /** Each orthogonal to the mean; a longer column weighs more. */
  readonly columns: readonly Float64Array[];
  readonly runs: number;
  readonly blocks: number;
  readonly stream: RandomStream;
}): readonly number[] {
  const sizes = Array.from({ length: blocks }, (_, b) => Math.floor((runs + blocks - 1 - b) / blocks));
  const mixed = (sums: readonly Float64Array[]): number =>
    sums.reduce((total, sum, b) => total + sum.reduce((s, x) => s + x * x, 0) / sizes[b]!, 0);
  let best: readonly number[] = [];
  let bestMixing = Number.POSITIVE_INFINITY;
  for (let start = 0; start < 20 && bestMixing > 1e-12; start++) {
    const block = stream.shuffle(Array.from({ length: runs }, (_, i) => i % blocks));
    const sums = sizes.map(() => new Float64Array(columns.length));
    for (const [run, b] of block.entries()) {
      for (let c = 0; c < columns.length; c++) sums[b]![c]! += columns[c]![run]!;
    }
    for (let pass = 0, improved = true; improved && pass < MOST_PASSES; pass++) {
      improved = false;
      for (let i = 0; i < runs; i++) {
        for (let k = i + 1; k < runs; k++) {
          if (block[i] !== block[k] && swapGain({ columns, sums, sizes, block, i, k }) < -1e-12) {
            exchange({ columns, sums, block, i, k });
            improved = true;
          }
        }
      }
    }
    const mixing = mixed(sums);
    if (mixing < bestMixing - 1e-12) {
      bestMixing = mixing;
      best = [...block];
    }
  }
  return best;
}

function swapGain({
  columns,
  sums,
  sizes,
  block,
  i,
  k,
}: {
  readonly columns: readonly Float64Array[];
  readonly sums: readonly Float64Array[];
  readonly sizes: readonly number[];
  readonly block: readonly number[];
  readonly i: number;
  readonly k: number;
}): number {
  const one = sums[block[i]!]!;
  const two = sums[block[k]!]!;
  let change = 0;
  for (let c = 0; c < columns.length; c++) {
    const step = columns[c]![k]! - columns[c]![i]!;
    change += (step * (2 * one[c]! + step)) / sizes[block[i]!]!;
    change -= (step * (2 * two[c]! - step)) / sizes[block[k]!]!;
  }
  return change;
}

function exchange({
  columns,
  sums,
  block,
  i,
  k,
}: {
  readonly columns: readonly Float64Array[];
  readonly sums: readonly Float64Array[];
  readonly block: number[];
  readonly i: number;
  readonly k: number;
}): void {
  for (let c = 0; c < columns.length; c++) {
    const step = columns[c]![k]! - columns[c]![i]!;
    sums[block[i]!]![c]! += step;
    sums[block[k]!]![c]! -= step;
  }
  [block[i], block[k]] = [block[k]!, block[i]!];
}

/** Share of a column that lies between blocks, 0 (clear of them) to 1 (wholly mixed with them). */
export function mixingWithBlocks(column: Float64Array, blocks: readonly number[]): number {
  const sums = new Map<number, { sum: number; count: number }>();
  for (const [run, block] of blocks.entries()) {
    const { sum, count } = sums.get(block) ?? { sum: 0, count: 0 };
    sums.set(block, { sum: sum + column[run]!, count: count + 1 });
  }
  const between = [...sums.values()].reduce((total, { sum, count }) => total + sum ** 2 / count, 0);
  return between / column.reduce((total, x) => total + x * x, 0);
}
