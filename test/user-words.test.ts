import { dirname, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { expect, test } from "vitest";

const root = resolve(dirname(fileURLToPath(import.meta.url)), "..");

/** Reads of tables by a name that may be anybody's, which answer with parts of every object where the name is one. */
function inheritingReads(project: string): string[] {
  const host = { ...ts.sys, onUnRecoverableConfigFileDiagnostic: () => {} };
  const config = ts.getParsedCommandLineOfConfigFile(resolve(root, project), {}, host)!;
  const sources = config.fileNames.filter((file) => relative(root, file).startsWith("lib"));
  const program = ts.createProgram(sources, config.options);
  const checker = program.getTypeChecker();
  const found: string[] = [];
  const isTable = (type: ts.Type): boolean =>
    checker.getIndexInfosOfType(type).some(({ keyType }) => (keyType.flags & ts.TypeFlags.String) !== 0);
  const visit = (node: ts.Node): void => {
    ts.forEachChild(node, visit);
    if (!ts.isElementAccessExpression(node)) return;
    if ((checker.getTypeAtLocation(node.argumentExpression).flags & ts.TypeFlags.String) === 0) return;
    const table = checker.getNonNullableType(checker.getTypeAtLocation(node.expression));
    if (!(table.isUnion() ? table.types : [table]).some(isTable)) return;
    const { parent } = node;
    const isWritten = ts.isBinaryExpression(parent) && parent.left === node;
    if (isWritten && parent.operatorToken.kind === ts.SyntaxKind.EqualsToken) return;
    if (ts.isDeleteExpression(parent)) return;
    const file = node.getSourceFile();
    const line = file.getLineAndCharacterOfPosition(node.getStart()).line + 1;
    found.push(`${relative(root, file.fileName)}:${line}: ${node.getText()}`);
  };
  for (const file of sources) visit(program.getSourceFile(file)!);
  return found;
}

test.each(["tsconfig.json", "lib/bench/page/tsconfig.json", "lib/report/page/tsconfig.json"])(
  "ownValue alone looks a name up in a table of names, in every file of %s",
  (project) => {
    const own = relative(root, "lib/errors/own-value.ts");
    const reads = inheritingReads(project).filter((read) => !read.startsWith(own));
    expect(reads, "use ownValue(table, name) of errors/, or a Map").toEqual([]);
  },
);
