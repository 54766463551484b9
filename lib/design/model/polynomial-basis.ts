import type { Axis } from "../region/index.js";
import type { Basis, ModelOrder, TermEffect } from "./basis.js";

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
