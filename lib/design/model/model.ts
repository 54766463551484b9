import type { Axis } from "../region/index.js";
import type { Basis, PlanModel } from "./basis.js";
import { nonlinearBasis } from "./nonlinear-basis.js";
import { polynomialBasis } from "./polynomial-basis.js";

/** Adds sum-to-zero block columns, read from the row's entry after the last axis. */
function withBlocks(basis: Basis, axisCount: number, blocks: number): Basis {
  if (blocks < 2) return basis;
  const { size, copies } = basis;
  const wide = size + blocks - 1;
  const inner = new Float64Array(size * copies);
  return {
    names: [...basis.names, ...Array.from({ length: blocks - 1 }, (_, b) => `block[${b + 1}]`)],
    size: wide,
    copies,
    groups: basis.groups,
    fill(row, out) {
      basis.fill(row, inner);
      const block = row[axisCount]!;
      for (let copy = 0; copy < copies; copy++) {
        for (let c = 0; c < size; c++) out[copy * wide + c] = inner[copy * size + c]!;
        for (let b = 0; b < blocks - 1; b++) {
          out[copy * wide + size + b] = block === b ? 1 : block === blocks - 1 ? -1 : 0;
        }
      }
    },
  };
}

/** The basis of any plan model, with block offsets when there are blocks. */
export function basisOf(axes: readonly Axis[], model: PlanModel, blocks = 1): Basis {
  const basis = typeof model === "string" ? polynomialBasis(axes, model) : nonlinearBasis(axes, model);
  return withBlocks(basis, axes.length, blocks);
}
