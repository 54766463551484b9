import type { RowFunctions } from "../common/index.js";
import type { Node } from "./formula-parse.js";

export type FormulaValue = (theta: readonly number[], x: readonly number[]) => number;
export type FormulaPartials = (theta: readonly number[], x: readonly number[]) => number[];

/** Code of an operation on two written operands; small whole powers become products. */
function operation({
  operator,
  a,
  b,
  right,
}: {
  readonly operator: string;
  readonly a: string;
  readonly b: string;
  readonly right: Node;
}): string {
  if (operator === "^" && right.kind === "number" && Number.isInteger(right.value)) {
    const power = Math.abs(right.value);
    if (power >= 1 && power <= 4) {
      const product = new Array(power).fill(a).join(" * ");
      return right.value > 0 ? product : `1 / (${product})`;
    }
  }
  return operator === "^" ? `${a} ** ${b}` : `${a} ${operator} ${b}`;
}

/**
 * Writes trees as statements over theta `t` and a row `x`, each distinct subexpression once. The code holds only what is
 * made here of parsed numbers, names and operators.
 */
class Writer {
  /** Statements that hold for every row. */
  readonly fixed: string[] = [];
  /** Statements that depend on the row. */
  readonly perRow: string[] = [];
  private readonly known = new Map<string, string>();
  private readonly written = new Map<Node, string>();
  private readonly varying = new Set<string>();

  constructor(
    private readonly variables: readonly string[],
    private readonly parameters: readonly string[],
  ) {}

  /** Name, or literal, that stands for a tree. */
  write(node: Node): string {
    const seen = this.written.get(node) ?? this.writeNew(node);
    this.written.set(node, seen);
    return seen;
  }

  private writeNew(node: Node): string {
    if (node.kind === "number") return `(${node.value})`;
    if (node.kind === "name") {
      const place = this.variables.indexOf(node.name);
      return place >= 0
        ? this.once(`x[${place}]`, true)
        : this.once(`t[${this.parameters.indexOf(node.name)}]`, false);
    }
    if (node.kind === "call") {
      const argument = this.write(node.argument);
      return this.once(`Math.${node.name}(${argument})`, this.varying.has(argument));
    }
    const left = this.write(node.left);
    const right = this.write(node.right);
    const varies = this.varying.has(left) || this.varying.has(right);
    return this.once(operation({ operator: node.operator, a: left, b: right, right: node.right }), varies);
  }

  /** Name of the one variable that holds this code's value. */
  private once(code: string, varies: boolean): string {
    const seen = this.known.get(code);
    if (seen !== undefined) return seen;
    const name = `s${this.known.size}`;
    this.known.set(code, name);
    (varies ? this.perRow : this.fixed).push(`const ${name} = ${code};`);
    if (varies) this.varying.add(name);
    return name;
  }
}

export interface Compiled {
  readonly predict: FormulaValue;
  readonly gradient: FormulaPartials;
  readonly rows: RowFunctions;
}

/** Functions of a formula's tree and of its partial derivatives, row by row and for many rows at once. */
export function compileFormula({
  tree,
  partials,
  variables,
  parameters,
}: {
  readonly tree: Node;
  readonly partials: readonly Node[];
  readonly variables: readonly string[];
  readonly parameters: readonly string[];
}): Compiled {
  const one = new Writer(variables, parameters);
  const value = one.write(tree);
  const all = new Writer(variables, parameters);
  const slopes = partials.map((partial) => all.write(partial));
  const plain = ({ fixed, perRow }: Writer): string => `"use strict"; ${fixed.join(" ")} ${perRow.join(" ")}`;
  const loop = ({ fixed, perRow }: Writer, body: string, head = ""): string =>
    `"use strict"; ${head} ${fixed.join(" ")} let sum = 0; for (let i = 0; i < w.length; i++) { const x = rows[i]; const wi = w[i]; ${perRow.join(" ")} ${body} } return sum;`;
  const store = slopes.map(
    (slope, j) => `if (p${j} >= 0) { const d = wi * ${slope}; out[p${j} + i] = d; sum += d; }`,
  );
  const starts = slopes.map((_, j) => `const p${j} = starts[${j}];`).join(" ");
  return {
    predict: new Function("t", "x", `${plain(one)} return ${value};`) as FormulaValue,
    gradient: new Function("t", "x", `${plain(all)} return [${slopes.join(", ")}];`) as FormulaPartials,
    rows: {
      values: new Function(
        "t",
        "rows",
        "w",
        "out",
        "offset",
        loop(one, `const v = wi * ${value}; out[offset + i] = v; sum += v;`),
      ) as RowFunctions["values"],
      slopes: new Function(
        "t",
        "rows",
        "w",
        "starts",
        "out",
        loop(all, store.join(" "), starts),
      ) as RowFunctions["slopes"],
    },
  };
}
