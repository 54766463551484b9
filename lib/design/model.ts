import { requireThat } from "../errors/index.js";
import type { Axis, Settings } from "./factor.js";

/** Straight effects; with all products of two; with squares too (the second-order response surface). */
export type ModelOrder = "linear" | "interaction" | "quadratic";

/** A model that is not linear in its parameters, with what is believed of them beforehand. */
export interface NonlinearPlanModel {
  /** Expected response for a coupon's settings. */
  readonly predict: (settings: Settings, parameters: readonly number[]) => number;
  /** One row: a best guess (local design). Several rows: draws from a prior, averaged over. */
  readonly parameters: readonly (readonly number[])[];
  /** Parameter names, for reports. Default: theta1, theta2 ... */
  readonly names?: readonly string[];
}

export type PlanModel = ModelOrder | NonlinearPlanModel;

/**
 * Model columns as a function of a coded row (-1 to +1 for numbers, the level's index for a category, and
 * last the block's index when there are blocks). With `copies` above 1 the row holds that many gradients,
 * one per prior draw, one after the other.
 */
export interface Basis {
  readonly names: readonly string[];
  /** Columns of one copy. */
  readonly size: number;
  readonly copies: number;
  /** Columns that stand or fall together: one per term; the mean and block columns belong to none. */
  readonly groups: readonly TermGroup[];
  fill(row: ArrayLike<number>, out: Float64Array): void;
}

/** A term of the model: one column, or several when a category takes part. */
export interface TermGroup {
  readonly name: string;
  readonly columns: readonly number[];
  /** Axes that take part. */
  readonly axes: readonly number[];
  /** One per pair of category levels, a single one for numbers; none for a nonlinear model. */
  readonly effects: readonly TermEffect[];
}

/**
 * An effect of a term: the change of the response from low to high (of a square: from the middle to the ends;
 * of a category: from one level to another), or for a product half the change of that change.
 */
export interface TermEffect {
  /** Coefficients that make the effect 2. */
  readonly pattern: readonly number[];
  /** The effect as a combination of the coefficients. */
  readonly contrast: readonly number[];
}

/** A column as the product of up to two atoms; -1 is the constant. */
type Column = readonly [name: string, first: number, second: number];

interface Atom {
  readonly axis: number;
  readonly name: string;
  /** Category: the atom is 1 at this level, -1 at the last one, else 0. Numeric: undefined. */
  readonly level?: number;
  readonly lastLevel?: number;
}

function atomsOf(axis: Axis, index: number): readonly Atom[] {
  if (!axis.category) return [{ axis: index, name: axis.name }];
  const lastLevel = axis.values.length - 1;
  return axis.values
    .slice(0, lastLevel)
    .map((value, level) => ({ axis: index, name: `${axis.name}[${value}]`, level, lastLevel }));
}

/** Effects of one axis: of a number from low to high, of a category between each pair of its levels. */
function axisEffects(axis: Axis): readonly TermEffect[] {
  if (!axis.category) return [{ pattern: [1], contrast: [2] }];
  const last = axis.values.length - 1;
  const levels = axis.values.map((_, level) => level);
  return levels.flatMap((up) =>
    levels.slice(up + 1).map((down) => {
      const sign = (level: number): number => (level === up ? 1 : level === down ? -1 : 0);
      const free = levels.slice(0, last);
      return { pattern: free.map(sign), contrast: free.map((level) => sign(level) - sign(last)) };
    }),
  );
}

/** Effects of a product: half the change in one axis' effect over the other's. */
function productEffects(one: readonly TermEffect[], two: readonly TermEffect[]): readonly TermEffect[] {
  const cross = (a: readonly number[], b: readonly number[], share: number): readonly number[] =>
    a.flatMap((x) => b.map((y) => x * y * share));
  return one.flatMap((a) =>
    two.map((b) => ({
      pattern: cross(a.pattern, b.pattern, 1),
      contrast: cross(a.contrast, b.contrast, 0.5),
    })),
  );
}

const squareEffect: readonly TermEffect[] = [{ pattern: [2], contrast: [1] }];

/**
 * Polynomial in the coded factors. Categories enter by sum-to-zero columns; a number with only two
 * levels has no square.
 */
export function polynomialBasis(axes: readonly Axis[], order: ModelOrder): Basis {
  const atoms = axes.flatMap(atomsOf);
  const columns: Column[] = [["mean", -1, -1]];
  for (const [i, atom] of atoms.entries()) columns.push([atom.name, i, -1]);
  if (order !== "linear") {
    for (const [i, one] of atoms.entries()) {
      for (const [k, two] of atoms.entries()) {
        if (k > i && one.axis !== two.axis) columns.push([`${one.name} x ${two.name}`, i, k]);
      }
    }
  }
  if (order === "quadratic") {
    for (const [i, atom] of atoms.entries()) {
      const axis = axes[atom.axis]!;
      if (!axis.category && axis.values.length > 2) columns.push([`${atom.name} squared`, i, i]);
    }
  }
  const axisOf = (atom: number): number => atoms[atom]!.axis;
  const groups = new Map<string, { name: string; columns: number[]; axes: number[]; square: boolean }>();
  for (const [column, [, one, two]] of columns.entries()) {
    if (one === -1) continue;
    const members = two === -1 ? [axisOf(one)] : [axisOf(one), axisOf(two)];
    const words = members.map((axis) => axes[axis]!.name);
    const square = members.length === 2 && members[0] === members[1];
    const name = square ? `${words[0]} squared` : words.join(" x ");
    const group = groups.get(name) ?? {
      name,
      columns: [],
      axes: square ? members.slice(1) : members,
      square,
    };
    group.columns.push(column);
    groups.set(name, group);
  }
  const values = new Float64Array(atoms.length + 1);
  values[atoms.length] = 1;
  const place = (index: number): number => (index === -1 ? atoms.length : index);
  const first = Int32Array.from(columns, (column) => place(column[1]));
  const second = Int32Array.from(columns, (column) => place(column[2]));
  return {
    names: columns.map(([name]) => name),
    size: columns.length,
    copies: 1,
    groups: [...groups.values()].map(({ name, columns: own, axes: members, square }) => ({
      name,
      columns: own,
      axes: members,
      effects: square ? squareEffect : members.map((axis) => axisEffects(axes[axis]!)).reduce(productEffects),
    })),
    fill(row, out) {
      for (let a = 0; a < atoms.length; a++) {
        const { axis, level, lastLevel } = atoms[a]!;
        const x = row[axis]!;
        values[a] = level === undefined ? x : x === level ? 1 : x === lastLevel ? -1 : 0;
      }
      for (let c = 0; c < first.length; c++) out[c] = values[first[c]!]! * values[second[c]!]!;
    },
  };
}

/** Settings at a coded row: the inverse of the coding, without snapping to steps. */
export function settingsFromCoded(axes: readonly Axis[], row: ArrayLike<number>): Settings {
  return Object.fromEntries(
    axes.map((axis, j) => {
      const x = row[j]!;
      if (axis.category) return [axis.name, axis.values[x]!];
      return [axis.name, axis.low + ((x + 1) / 2) * (axis.high - axis.low)];
    }),
  );
}

/** Gradient of a nonlinear model in its parameters, by central differences, at each row of parameters. */
export function nonlinearBasis(axes: readonly Axis[], model: NonlinearPlanModel): Basis {
  const { predict, parameters, names } = model;
  const size = parameters[0]?.length ?? 0;
  requireThat(
    size > 0 && parameters.every((row) => row.length === size && row.every(Number.isFinite)),
    "a nonlinear model needs at least one row of parameters, all rows finite and equally long",
  );
  const shift = Math.cbrt(Number.EPSILON);
  const words = names ?? Array.from({ length: size }, (_, j) => `theta${j + 1}`);
  return {
    names: words,
    groups: words.map((name, j) => ({ name, columns: [j], axes: [], effects: [] })),
    size,
    copies: parameters.length,
    fill(row, out) {
      const settings = settingsFromCoded(axes, row);
      for (const [copy, theta] of parameters.entries()) {
        const moved = [...theta];
        for (let j = 0; j < size; j++) {
          const h = shift * Math.max(Math.abs(theta[j]!), 1e-3);
          moved[j] = theta[j]! + h;
          const up = predict(settings, moved);
          moved[j] = theta[j]! - h;
          out[copy * size + j] = (up - predict(settings, moved)) / (2 * h);
          moved[j] = theta[j]!;
        }
      }
    },
  };
}

/** Adds sum-to-zero block columns, read from the row's entry after the last axis. */
export function withBlocks(basis: Basis, axisCount: number, blocks: number): Basis {
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
