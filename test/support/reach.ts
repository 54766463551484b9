import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";

const here = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..");

/** A top-level declaration as `file#name`. */
type Place = string;

/** Names, each with the file and the name it is declared by there. */
type Named = ReadonlyMap<string, readonly [file: string, name: string]>;

interface Source {
  /** Names declared at the top, with the names each declaration mentions. */
  readonly declared: ReadonlyMap<string, ReadonlySet<string>>;
  /** Local names of what is imported, with file and name there; the name `*` for a whole file. */
  readonly imported: Named;
  /** Exported names that live elsewhere, likewise. */
  readonly passedOn: Named;
  /** Files all of whose exports are passed on. */
  readonly passedWhole: readonly string[];
  readonly exported: ReadonlySet<string>;
  /** What stands behind `@example` in the comments. */
  readonly examples: string;
}

const WORD = /[A-Za-z_$][\w$]*/g;
const wordsIn = (text: string): string[] => text.match(WORD) ?? [];

function filesIn(folder: string, ending: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    return entry.isDirectory() ? filesIn(path, ending) : path.endsWith(ending) ? [path] : [];
  });
}

function identifiers(node: ts.Node, found = new Set<string>()): Set<string> {
  if (ts.isIdentifier(node)) found.add(node.text);
  ts.forEachChild(node, (child) => {
    identifiers(child, found);
  });
  return found;
}

function namesOf(statement: ts.Statement): string[] {
  if (ts.isVariableStatement(statement))
    return statement.declarationList.declarations.flatMap(({ name }) => [...identifiers(name)]);
  const { name } = statement as { readonly name?: ts.Node };
  return name !== undefined && ts.isIdentifier(name) ? [name.text] : [];
}

function readSource(file: string): Source {
  const text = readFileSync(file, "utf8");
  const declared = new Map<string, Set<string>>();
  const imported = new Map<string, readonly [string, string]>();
  const passedOn = new Map<string, readonly [string, string]>();
  const passedWhole: string[] = [];
  const exported = new Set<string>();
  const fileOf = (specifier: ts.Expression): string | undefined => {
    const path = (specifier as ts.StringLiteral).text;
    return path.startsWith(".") ? resolve(dirname(file), path.replace(/\.js$/, ".ts")) : undefined;
  };
  for (const statement of ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true).statements) {
    if (ts.isImportDeclaration(statement)) {
      const other = fileOf(statement.moduleSpecifier);
      const bindings = statement.importClause?.namedBindings;
      if (other === undefined || bindings === undefined) continue;
      if (ts.isNamespaceImport(bindings)) imported.set(bindings.name.text, [other, "*"]);
      else
        for (const { name, propertyName } of bindings.elements)
          imported.set(name.text, [other, (propertyName ?? name).text]);
    } else if (ts.isExportDeclaration(statement)) {
      const other = statement.moduleSpecifier && fileOf(statement.moduleSpecifier);
      const clause = statement.exportClause;
      if (other !== undefined && clause === undefined) passedWhole.push(other);
      else if (other !== undefined && clause !== undefined && ts.isNamespaceExport(clause))
        passedOn.set(clause.name.text, [other, "*"]);
      else if (other !== undefined && clause !== undefined && ts.isNamedExports(clause))
        for (const { name, propertyName } of clause.elements)
          passedOn.set(name.text, [other, (propertyName ?? name).text]);
    } else {
      const mentioned = identifiers(statement);
      const isExported =
        ts.canHaveModifiers(statement) &&
        ts.getModifiers(statement)?.some(({ kind }) => kind === ts.SyntaxKind.ExportKeyword);
      for (const name of namesOf(statement)) {
        declared.set(name, new Set([...(declared.get(name) ?? []), ...mentioned]));
        if (isExported === true) exported.add(name);
      }
    }
  }
  const examples = [...text.matchAll(/@example((?:(?!\n \* @|\*\/)[\s\S])*)/g)]
    .map(([, code]) => code)
    .join("\n");
  return { declared, imported, passedOn, passedWhole, exported, examples };
}

/**
 * What commands, notebooks and examples (of the README and of docstrings) come to. The library is read as declarations
 * that mention each other by name: nothing is run, so a name mentioned counts as reached.
 */
export class Reach {
  readonly #sources = new Map<string, Source>();
  readonly #root: string;
  readonly #reached = new Set<Place>();
  readonly #exports = new Map<string, Named>();

  /** @param root - the folder that holds `lib`, `notebooks` and README.md */
  constructor(root = here) {
    this.#root = root;
    const lib = join(root, "lib");
    for (const file of filesIn(lib, ".ts")) this.#sources.set(file, readSource(file));
    const open = [...this.publicNames()];
    for (const [file, { declared, examples }] of this.#sources) {
      if (relative(lib, file).startsWith("cli/")) for (const name of declared.keys()) this.#visit(file, name);
      const own = new Set(wordsIn(examples));
      if (own.size === 0) continue;
      for (const name of declared.keys()) if (own.has(name)) this.#visit(file, name);
      for (const [name, path] of open) if (own.has(name.split(".").at(-1)!)) this.#visit(...path);
    }
    const readme = readFileSync(join(root, "README.md"), "utf8").match(/```[\s\S]*?```|`[^`]+`/g) ?? [];
    for (const text of [...this.#notebooks(), readme.join("\n")]) {
      const words = new Set(text.match(/[A-Za-z_$][\w$]*(?:\.[A-Za-z_$][\w$]*)?/g) ?? []);
      const plain = new Set(wordsIn(text));
      for (const [name, place] of open)
        if (name.includes(".") ? words.has(name) : plain.has(name)) this.#visit(...place);
    }
  }

  /** Public names, those of a whole layer as `layer.name`, with where each is declared. */
  publicNames(): Named {
    const names = new Map<string, readonly [string, string]>();
    for (const [name, place] of this.#exportsOf(join(this.#root, "lib", "index.ts"))) {
      if (place[1] !== "*") names.set(name, place);
      else for (const [inner, there] of this.#exportsOf(place[0])) names.set(`${name}.${inner}`, there);
    }
    return names;
  }

  isReached([file, name]: readonly [file: string, name: string]): boolean {
    return this.#reached.has(`${file}#${name}`);
  }

  #notebooks(): string[] {
    return filesIn(join(this.#root, "notebooks"), ".ipynb").map((file) => {
      const { cells } = JSON.parse(readFileSync(file, "utf8")) as {
        readonly cells: readonly {
          readonly cell_type: string;
          readonly source: readonly string[] | string;
        }[];
      };
      return cells
        .filter(({ cell_type }) => cell_type === "code")
        .map(({ source }) => (typeof source === "string" ? source : source.join("")))
        .join("\n");
    });
  }

  /** Every export of a file, with where it is declared. */
  #exportsOf(file: string): Named {
    const known = this.#exports.get(file);
    if (known !== undefined) return known;
    const source = this.#sources.get(file)!;
    const names = new Map<string, readonly [string, string]>();
    for (const name of source.exported) names.set(name, [file, name]);
    for (const [name, [other, there]] of source.passedOn) {
      const place = there === "*" ? ([other, "*"] as const) : this.#exportsOf(other).get(there);
      if (place !== undefined) names.set(name, place);
    }
    for (const other of source.passedWhole)
      for (const [name, place] of this.#exportsOf(other)) names.set(name, place);
    this.#exports.set(file, names);
    return names;
  }

  #visit(file: string, name: string): void {
    const place = `${file}#${name}`;
    const source = this.#sources.get(file);
    const mentioned = source?.declared.get(name);
    if (source === undefined || mentioned === undefined || this.#reached.has(place)) return;
    this.#reached.add(place);
    for (const word of mentioned) {
      if (source.declared.has(word)) this.#visit(file, word);
      const found = source.imported.get(word);
      if (found === undefined) continue;
      const [other, there] = found;
      const targets = this.#exportsOf(other);
      if (there === "*") for (const target of targets.values()) this.#visit(...target);
      else if (targets.has(there)) this.#visit(...targets.get(there)!);
    }
  }
}
