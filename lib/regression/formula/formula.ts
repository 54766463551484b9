import { requireThat } from "../../errors/index.js";
import { type Model, registerRowFunctions } from "../common/index.js";
import { compileFormula } from "./formula-compile.js";
import { derivative } from "./formula-derive.js";
import { type Node, namesIn, parseFormula } from "./formula-parse.js";

/** A model made from a formula: derivatives and linear parameters come with it. */
export interface FormulaModel extends Model {
  readonly formula: string;
  readonly variables: readonly string[];
  gradient(theta: readonly number[], x: readonly number[]): readonly number[];
  readonly linearIn: readonly string[];
}

/**
 * The names a formula asks for, variables and parameters alike, in order of first appearance.
 *
 * @throws {BeadbenchError} `bad-argument` for a formula that cannot be read
 * @example formulaNames("a * exp(-current / b) + a") // => ["a", "current", "b"]
 */
export function formulaNames(formula: string): readonly string[] {
  return namesIn(parseFormula(formula));
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
  const partials = parameters.map((name) => derivative(tree, name));
  const { predict, gradient, rows } = compileFormula({ tree, partials, variables, parameters });
  registerRowFunctions(predict, gradient, rows);
  return {
    formula,
    variables: [...variables],
    parameters: [...parameters],
    linearIn: linearParameters(partials, parameters),
    predict,
    gradient,
  };
}
