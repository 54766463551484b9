import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";

/** Layers from the top down; a folder may import folders of lower rows only. */
const rows: readonly (readonly string[])[] = [
  ["cli"],
  ["bench"],
  ["report"],
  ["presets"],
  ["charts"],
  ["window", "endurance", "traces"],
  ["models"],
  ["study", "design", "process"],
  ["regression"],
  ["numeric", "units", "photo"],
  ["errors"],
];

const lib = resolve(dirname(fileURLToPath(import.meta.url)), "..", "lib");
const level = new Map(rows.flatMap((row, i) => row.map((folder) => [folder, i] as const)));

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    return entry.isDirectory() ? sources(path) : path.endsWith(".ts") ? [path] : [];
  });
}

function imports(path: string): string[] {
  const text = readFileSync(path, "utf8");
  return [...text.matchAll(/(?:from|import)\s*\(?\s*"(\.[^"]+)"/g)].map((match) =>
    resolve(dirname(path), match[1]!.replace(/\.js$/, ".ts")),
  );
}

const namesOf = (paths: readonly string[]): string[] => paths.map((path) => relative(lib, path));

/** Every ring of a graph that a walk in depth meets. */
function rings(graph: ReadonlyMap<string, Iterable<string>>): string[] {
  const state = new Map<string, "open" | "done">();
  const found: string[] = [];
  const visit = (node: string, trail: readonly string[]): void => {
    if (state.get(node) === "done") return;
    if (state.get(node) === "open") {
      found.push([...trail.slice(trail.indexOf(node)), node].join(" -> "));
      return;
    }
    state.set(node, "open");
    for (const next of graph.get(node) ?? []) visit(next, [...trail, node]);
    state.set(node, "done");
  };
  for (const node of graph.keys()) visit(node, []);
  return found;
}

const folderOf = (path: string): string => relative(lib, path).split(sep)[0]!;

/** The sub-folder of a layer that a file lives in, such as `process/heat`; none for a file of the layer itself. */
function roomOf(path: string): string | undefined {
  const parts = relative(lib, path).split(sep);
  return parts.length > 2 ? parts.slice(0, 2).join("/") : undefined;
}

/** Layers and their sub-folders are entered through their `index.ts`. */
const isDoor = (path: string): boolean => path.endsWith(`${sep}index.ts`);

describe("imports", () => {
  const files = sources(lib);

  test("point down the layers and through a folder's door only, the layer's own or a sub-folder's", () => {
    const faults: string[] = [];
    for (const file of files) {
      const own = folderOf(file);
      if (own === "index.ts") continue;
      for (const target of imports(file)) {
        const other = folderOf(target);
        if (other === own) continue;
        const line = `${relative(lib, file)} -> ${relative(lib, target)}`;
        if (!level.has(own) || !level.has(other)) faults.push(`${line}: unknown layer`);
        else if (level.get(other)! <= level.get(own)!) faults.push(`${line}: points up or sideways`);
        else if (!isDoor(target)) faults.push(`${line}: reaches past the door`);
      }
    }
    expect(faults).toEqual([]);
  });

  test("form no ring", () => {
    const graph = new Map(files.map((file) => [relative(lib, file), namesOf(imports(file))]));
    expect(rings(graph)).toEqual([]);
  });

  test("inside a layer, point one way between its sub-folders and through their doors", () => {
    const faults: string[] = [];
    const arrows = new Map<string, Set<string>>();
    for (const file of files) {
      const own = roomOf(file);
      if (own === undefined) continue;
      for (const target of imports(file)) {
        const other = roomOf(target);
        if (other === undefined || other === own || folderOf(file) !== folderOf(target)) continue;
        if (!isDoor(target))
          faults.push(`${relative(lib, file)} -> ${relative(lib, target)}: reaches past the door`);
        arrows.set(own, (arrows.get(own) ?? new Set()).add(other));
      }
    }
    expect(faults).toEqual([]);
    expect(rings(arrows)).toEqual([]);
  });

  test("of every listed layer exist, and every folder is a listed layer", () => {
    const folders = readdirSync(lib, { withFileTypes: true }).filter((entry) => entry.isDirectory());
    expect(folders.map((entry) => entry.name).sort()).toEqual(rows.flat().sort());
  });

  test("source files have at most 300 lines", () => {
    const long = files
      .map((file) => ({ file: relative(lib, file), lines: readFileSync(file, "utf8").split("\n").length }))
      .filter(({ lines }) => lines > 300);
    expect(long).toEqual([]);
  });
});
