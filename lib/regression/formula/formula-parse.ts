import { BeadbenchError, requireThat } from "../../errors/index.js";

export type FunctionName = "exp" | "log" | "sqrt" | "sin" | "cos" | "tan" | "atan" | "tanh" | "abs";
export type Operator = "+" | "-" | "*" | "/" | "^";

/** A formula as a tree. Names are told apart into variables and parameters later. */
export type Node =
  | { readonly kind: "number"; readonly value: number }
  | { readonly kind: "name"; readonly name: string }
  | { readonly kind: "binary"; readonly operator: Operator; readonly left: Node; readonly right: Node }
  | { readonly kind: "call"; readonly name: FunctionName; readonly argument: Node };

const functions: ReadonlySet<string> = new Set<FunctionName>([
  "exp",
  "log",
  "sqrt",
  "sin",
  "cos",
  "tan",
  "atan",
  "tanh",
  "abs",
]);
const token =
  /\s*(?:(\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)|([A-Za-z_][A-Za-z0-9_]*)|([-+*/^()]))/y;

export const number = (value: number): Node => ({ kind: "number", value });

interface Token {
  readonly text: string;
  readonly kind: "number" | "name" | "symbol";
  readonly at: number;
}

/** Limits on what is read: a longer or deeper formula is a slip, and would exhaust the stack. */
const LONGEST = 2000;
const DEEPEST = 100;
/** Characters of a formula repeated in an error. */
const SHOWN = 200;

function fail(formula: string, at: number, what: string): never {
  const shown = formula.length > SHOWN ? `${formula.slice(0, SHOWN)}...` : formula;
  throw new BeadbenchError("bad-argument", `formula ${JSON.stringify(shown)}: ${what} at place ${at + 1}`);
}

function tokens(formula: string): Token[] {
  const list: Token[] = [];
  let at = 0;
  while (formula.slice(at).trim() !== "") {
    at += formula.slice(at).search(/\S/);
    token.lastIndex = at;
    const match = token.exec(formula);
    if (match === null) fail(formula, at, `cannot read ${JSON.stringify(formula[at])}`);
    const kind = match[1] !== undefined ? "number" : match[2] !== undefined ? "name" : "symbol";
    list.push({ text: match[0].trim(), kind, at });
    at = token.lastIndex;
  }
  return list;
}

/**
 * Reads ordinary arithmetic: + - * / ^, brackets, numbers, names, `pi`, and exp log sqrt sin cos tan atan tanh abs.
 * ^ binds tightest and to the right; -a^2 is -(a^2).
 *
 * @throws {BeadbenchError} `bad-argument` with the place of the fault
 */
export function parseFormula(formula: string): Node {
  requireThat(
    formula.length <= LONGEST,
    `a formula may have ${LONGEST} characters, got ${formula.length}: name its parts and add them up before`,
  );
  const list = tokens(formula);
  let next = 0;
  let depth = 0;
  const peek = (): string | undefined => (list[next]?.kind === "symbol" ? list[next]!.text : undefined);
  const place = (): number => list[next]?.at ?? formula.length;
  const binary = (operator: Operator, left: Node, right: Node): Node => ({
    kind: "binary",
    operator,
    left,
    right,
  });
  const expect = (symbol: string): void => {
    if (peek() !== symbol) fail(formula, place(), `expected ${symbol}`);
    next++;
  };
  const sum = (): Node => {
    let left = product();
    for (let symbol = peek(); symbol === "+" || symbol === "-"; symbol = peek()) {
      next++;
      left = binary(symbol, left, product());
    }
    return left;
  };
  const product = (): Node => {
    let left = signed();
    for (let symbol = peek(); symbol === "*" || symbol === "/"; symbol = peek()) {
      next++;
      left = binary(symbol, left, signed());
    }
    return left;
  };
  const signed = (): Node => {
    depth++;
    if (depth > DEEPEST)
      fail(formula, place(), `more than ${DEEPEST} brackets, signs and powers inside each other`);
    const node = signedPart();
    depth--;
    return node;
  };
  const signedPart = (): Node => {
    const symbol = peek();
    if (symbol !== "-" && symbol !== "+") return power();
    next++;
    const inner = signed();
    return symbol === "+" ? inner : binary("*", number(-1), inner);
  };
  const power = (): Node => {
    const base = atom();
    if (peek() !== "^") return base;
    next++;
    return binary("^", base, signed());
  };
  const atom = (): Node => {
    const current = list[next];
    if (current === undefined) return fail(formula, formula.length, "ends too early");
    next++;
    if (current.kind === "number") return number(Number(current.text));
    if (current.kind === "name") {
      if (peek() !== "(")
        return current.text === "pi" ? number(Math.PI) : { kind: "name", name: current.text };
      if (!functions.has(current.text)) fail(formula, current.at, `unknown function ${current.text}`);
      next++;
      const argument = sum();
      expect(")");
      return { kind: "call", name: current.text as FunctionName, argument };
    }
    if (current.text !== "(") return fail(formula, current.at, `unexpected ${current.text}`);
    const inner = sum();
    expect(")");
    return inner;
  };
  const tree = sum();
  if (next < list.length) fail(formula, place(), `unexpected ${list[next]!.text}`);
  return tree;
}

/** Names in order of first appearance. */
export function namesIn(tree: Node): string[] {
  const names = new Set<string>();
  // Derivatives hold the same part many times over.
  const visited = new Set<Node>();
  const visit = (node: Node): void => {
    if (visited.has(node)) return;
    visited.add(node);
    if (node.kind === "name") names.add(node.name);
    else if (node.kind === "call") visit(node.argument);
    else if (node.kind === "binary") {
      visit(node.left);
      visit(node.right);
    }
  };
  visit(tree);
  return [...names];
}
