import { type FunctionName, type Node, number, type Operator } from "./formula-parse.js";

const isNumber = (node: Node, value: number): boolean => node.kind === "number" && node.value === value;

/** Combines two trees, folding numbers, zeros and ones. */
function join(operator: Operator, left: Node, right: Node): Node {
  if (left.kind === "number" && right.kind === "number") {
    const [a, b] = [left.value, right.value];
    const folded = { "+": a + b, "-": a - b, "*": a * b, "/": a / b, "^": a ** b }[operator];
    if (Number.isFinite(folded)) return number(folded);
  }
  if (operator === "+" && isNumber(left, 0)) return right;
  if ((operator === "+" || operator === "-") && isNumber(right, 0)) return left;
  if (operator === "*" && (isNumber(left, 0) || isNumber(right, 0))) return number(0);
  if (operator === "*" && isNumber(left, 1)) return right;
  if ((operator === "*" || operator === "/" || operator === "^") && isNumber(right, 1)) return left;
  if (operator === "/" && isNumber(left, 0)) return number(0);
  if (operator === "^" && isNumber(right, 0)) return number(1);
  return { kind: "binary", operator, left, right };
}

const call = (name: FunctionName, argument: Node): Node => ({ kind: "call", name, argument });

/** Derivative of a function by its argument. */
function outer(name: FunctionName, u: Node): Node {
  switch (name) {
    case "exp":
      return call("exp", u);
    case "log":
      return join("/", number(1), u);
    case "sqrt":
      return join("/", number(0.5), call("sqrt", u));
    case "sin":
      return call("cos", u);
    case "cos":
      return join("*", number(-1), call("sin", u));
    case "tan":
      return join("+", number(1), join("^", call("tan", u), number(2)));
    case "atan":
      return join("/", number(1), join("+", number(1), join("^", u, number(2))));
    case "tanh":
      return join("-", number(1), join("^", call("tanh", u), number(2)));
    case "abs":
      return join("/", u, call("abs", u));
  }
}

/** Symbolic partial derivative of a formula by a name. */
export function derivative(node: Node, name: string): Node {
  switch (node.kind) {
    case "number":
      return number(0);
    case "name":
      return number(node.name === name ? 1 : 0);
    case "call": {
      const inner = derivative(node.argument, name);
      return isNumber(inner, 0) ? inner : join("*", outer(node.name, node.argument), inner);
    }
    case "binary": {
      const { operator, left: u, right: v } = node;
      const du = derivative(u, name);
      const dv = derivative(v, name);
      switch (operator) {
        case "+":
        case "-":
          return isNumber(du, 0) && operator === "-" ? join("*", number(-1), dv) : join(operator, du, dv);
        case "*":
          return join("+", join("*", du, v), join("*", u, dv));
        case "/":
          return join("/", join("-", du, join("*", join("/", u, v), dv)), v);
        case "^": {
          const byBase = isNumber(du, 0)
            ? du
            : join("*", join("*", v, join("^", u, join("-", v, number(1)))), du);
          const byPower = isNumber(dv, 0) ? dv : join("*", join("*", node, call("log", u)), dv);
          return join("+", byBase, byPower);
        }
      }
    }
  }
}
