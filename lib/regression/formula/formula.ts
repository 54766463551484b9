import { requireThat } from "../../errors/index.js";
import type { Model } from "../common/index.js";
import { derivative } from "./formula-derive.js";
import { type Node, namesIn, parseFormula } from "./formula-parse.js";

type Compiled = (theta: readonly number[], x: readonly number[]) => number;
type CompiledAll = (theta: readonly number[], x: readonly number[]) => number[];

/** A model made from a formula: derivatives and linear parameters come with it. */
export interface FormulaModel extends Model {
  readonly formula: string;
  readonly variables: readonly string[];
  gradient(theta: readonly number[], x: readonly number[]): readonly number[];
  readonly linearIn: readonly string[];
}

/** Writes trees as statements, each distinct subexpression once. */
class Writer {
  readonly statements: string[] = [];
  private readonly known = new Map<string, string>();

  constructor(private readonly places: ReadonlyMap<string, string>) {}

  write(node: Node): string {
    if (node.kind === "number") return `(${node.value})`;
    if (node.kind === "name") return this.places.get(node.name)!;
    const code =
      node.kind === "call"
        ? `Math.${node.name}(${this.write(node.argument)})`
        : this.operation(node.operator, node.left, node.right);
    const seen = this.known.get(code);
    if (seen !== undefined) return seen;
    const name = `s${this.known.size}`;
    this.known.set(code, name);
    this.statements.push(`const ${name} = ${code};`);
    return name;
  }

  private operation(operator: string, left: Node, right: Node): string {
    const a = this.write(left);
    if (operator === "^" && right.kind === "number" && Number.isInteger(right.value)) {
      const power = Math.abs(right.value);
      if (power >= 1 && power <= 4) {
        const product = new Array(power).fill(a).join(" * ");
        return right.value > 0 ? product : `1 / (${product})`;
      }
    }
    const b = this.write(right);
    return operator === "^" ? `${a} ** ${b}` : `${a} ${operator} ${b}`;
  }
}

/** Turns trees into a function. The code holds only what the writer made of parsed numbers, names and operators. */
function compile<F>(trees: readonly Node[], places: ReadonlyMap<string, string>, isList: boolean): F {
  const writer = new Writer(places);
  const results = trees.map((tree) => writer.write(tree));
  const answer = isList ? `[${results.join(", ")}]` : results[0];
  return new Function("t", "x", `"use strict"; ${writer.statements.join(" ")} return ${answer};`) as F;
}

/** Parameters that enter linearly together: all second derivatives among them vanish. Earlier ones win. */
function linearParameters(partials: readonly Node[], parameters: readonly string[]): string[] {
  const inside = partials.map((partial) => new Set(namesIn(partial)));
  const linear: number[] = [];
  parameters.forEach((name, j) => {
    const clash = linear.some((i) => inside[i]!.has(name) || inside[j]!.has(parameters[i]!));
    if (!clash && !inside[j]!.has(name)) linear.push(j);
  });
  return linear.map((j) => parameters[j]!);
}

/**
 * A model written as ordinary arithmetic, with exact derivatives and the linear parameters found from the formula.
 *
 * Knows + - * / ^, brackets, `pi`, exp, log (natural), sqrt, sin, cos, tan, atan, tanh and abs. Every name that is not
 * a variable is a parameter.
 *
 * @param options.variables - names of the values in a row of x, in order
 * @param options.parameters - order of the parameters. Default: as they appear
 * @throws {BeadbenchError} `bad-argument` for a formula that cannot be read, or names that do not match
 * @example formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] }).predict([20, 0.5], [2]) // => 12.64241118
 */
export function formulaModel(
  formula: string,
  options: { readonly variables: readonly string[]; readonly parameters?: readonly string[] },
): FormulaModel {
  const tree = parseFormula(formula);
  const { variables } = options;
  const found = namesIn(tree).filter((name) => !variables.includes(name));
  const parameters = options.parameters ?? found;
  for (const name of found) {
    requireThat(
      parameters.includes(name),
      `formula ${JSON.stringify(formula)}: ${name} is neither a variable nor a parameter`,
    );
  }
  for (const name of parameters) {
    requireThat(
      found.includes(name),
      `formula ${JSON.stringify(formula)}: the parameter ${name} does not appear`,
    );
  }
  requireThat(parameters.length > 0, `formula ${JSON.stringify(formula)} has no parameter to fit`);
  const places = new Map<string, string>([
    ...variables.map((name, k) => [name, `x[${k}]`] as const),
    ...parameters.map((name, j) => [name, `t[${j}]`] as const),
  ]);
  const partials = parameters.map((name) => derivative(tree, name));
  return {
    formula,
    variables: [...variables],
    parameters: [...parameters],
    linearIn: linearParameters(partials, parameters),
    predict: compile<Compiled>([tree], places, false),
    gradient: compile<CompiledAll>(partials, places, true),
  };
}
