import ts from "typescript";

/** One change to a source text that a good test should notice. */
export interface Mutant {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly was: string;
  readonly becomes: string;
  readonly start: number;
  readonly end: number;
}

const SWAPS: ReadonlyMap<ts.SyntaxKind, string> = new Map([
  [ts.SyntaxKind.PlusToken, "-"],
  [ts.SyntaxKind.MinusToken, "+"],
  [ts.SyntaxKind.AsteriskToken, "/"],
  [ts.SyntaxKind.SlashToken, "*"],
  [ts.SyntaxKind.LessThanToken, "<="],
  [ts.SyntaxKind.LessThanEqualsToken, "<"],
  [ts.SyntaxKind.GreaterThanToken, ">="],
  [ts.SyntaxKind.GreaterThanEqualsToken, ">"],
  [ts.SyntaxKind.EqualsEqualsEqualsToken, "!=="],
  [ts.SyntaxKind.ExclamationEqualsEqualsToken, "==="],
  [ts.SyntaxKind.AmpersandAmpersandToken, "||"],
  [ts.SyntaxKind.BarBarToken, "&&"],
  [ts.SyntaxKind.PlusEqualsToken, "-="],
  [ts.SyntaxKind.MinusEqualsToken, "+="],
]);

/**
 * All mutants of a source text: operators swapped, numbers moved by one, true and false, conditions turned round,
 * statements that only call something left out.
 */
export function mutantsOf(file: string, text: string): readonly Mutant[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true);
  const found: Mutant[] = [];
  const put = (node: ts.Node, becomes: string): void => {
    const start = node.getStart(source);
    const { line, character } = source.getLineAndCharacterOfPosition(start);
    const was = text.slice(start, node.end);
    found.push({ file, line: line + 1, column: character + 1, was, becomes, start, end: node.end });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node) || ts.isTypeNode(node)) return;
    if (ts.isInterfaceDeclaration(node) || ts.isTypeAliasDeclaration(node)) return;
    if (ts.isBinaryExpression(node)) {
      const swap = SWAPS.get(node.operatorToken.kind);
      // Adding words is not subtracting them.
      const words = [node.left, node.right].some(
        (side) => ts.isStringLiteral(side) || ts.isTemplateExpression(side),
      );
      if (swap !== undefined && !words) put(node.operatorToken, swap);
    }
    if (ts.isNumericLiteral(node)) put(node, `${Number(node.text) === 0 ? 1 : Number(node.text) * 2}`);
    if (node.kind === ts.SyntaxKind.TrueKeyword) put(node, "false");
    if (node.kind === ts.SyntaxKind.FalseKeyword) put(node, "true");
    if (ts.isIfStatement(node)) put(node.expression, `!(${node.expression.getText(source)})`);
    if (ts.isConditionalExpression(node)) put(node.condition, `!(${node.condition.getText(source)})`);
    if (ts.isExpressionStatement(node) && ts.isCallExpression(node.expression)) put(node, ";");
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}
