import { ownValue, requireThat } from "../../errors/index.js";
import type { Model, Observations } from "../common/index.js";

export interface BlockedProblem {
  readonly observations: Observations;
  readonly model: Model;
  /** Block names in order of first appearance; the last has minus the sum of the other offsets. */
  readonly blocks: readonly string[];
  /** Columns to append to a row of x to predict in a block; zeros predict for the average block. */
  readonly columns: Readonly<Record<string, readonly number[]>>;
}

/**
 * Adds a fixed offset per block (day, cylinder, spool) to a model. Offsets sum to zero over the blocks, so the other
 * parameters speak for the average block. For many small blocks a random effect loses fewer degrees of freedom.
 *
 * Every row of x is lengthened by (blocks - 1) columns; the new parameters are named `block <name>`.
 *
 * @throws {BeadbenchError} `bad-argument` with fewer than two blocks or a label too few
 * @example withBlockOffsets({ x: [[1], [1], [1], [1]], y: [1, 2, 5, 6] }, linearModel(["mean"]), ["Mon", "Mon", "Tue", "Tue"]).model.parameters // => ["mean", "block Mon"]
 */
export function withBlockOffsets(
  observations: Observations,
  model: Model,
  labels: readonly string[],
): BlockedProblem {
  requireThat(
    labels.length === observations.y.length,
    `withBlockOffsets: ${labels.length} labels for ${observations.y.length} rows`,
  );
  const blocks = [...new Set(labels)];
  requireThat(blocks.length >= 2, "withBlockOffsets needs at least two blocks");
  const count = blocks.length - 1;
  const columns = Object.fromEntries(
    blocks.map((block, b) => [
      block,
      Array.from({ length: count }, (_, k) => (b === count ? -1 : b === k ? 1 : 0)),
    ]),
  );
  const size = model.parameters.length;
  const width = observations.x[0]!.length;
  const names = blocks.slice(0, count).map((block) => `block ${block}`);
  const { gradient, linearIn } = model;
  return {
    blocks,
    columns,
    observations: {
      ...observations,
      x: observations.x.map((row, i) => [...row, ...ownValue(columns, labels[i]!)!]),
    },
    model: {
      parameters: [...model.parameters, ...names],
      predict(theta, x) {
        let sum = model.predict(theta.slice(0, size), x.slice(0, width));
        for (let k = 0; k < count; k++) sum += theta[size + k]! * x[width + k]!;
        return sum;
      },
      ...(gradient === undefined
        ? {}
        : {
            gradient: (theta: readonly number[], x: readonly number[]) => [
              ...gradient.call(model, theta.slice(0, size), x.slice(0, width)),
              ...x.slice(width, width + count),
            ],
          }),
      ...(linearIn === undefined ? {} : { linearIn: [...linearIn, ...names] }),
    },
  };
}
