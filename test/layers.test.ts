import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";

/** Layers from the top down; a folder may import folders of lower rows, and of its own row where listed. */
const rows: readonly (readonly string[])[] = [
  ["cli"],
  ["report"],
  ["presets"],
  ["charts"],
  ["window"],
  ["models", "endurance"],
  ["study", "design", "process"],
  ["regression"],
  ["numeric", "units"],
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

const folderOf = (path: string): string => relative(lib, path).split(sep)[0]!;

describe("imports", () => {
  const files = sources(lib);

  test("point down the layers and through a folder's index only", () => {
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
        else if (!target.endsWith(`${other}${sep}index.ts`)) faults.push(`${line}: reaches past the index`);
      }
    }
    expect(faults).toEqual([]);
  });

  test("form no ring", () => {
    const graph = new Map(files.map((file) => [file, imports(file)]));
    const state = new Map<string, "open" | "done">();
    const rings: string[] = [];
    const visit = (file: string, trail: readonly string[]): void => {
      if (state.get(file) === "done") return;
      if (state.get(file) === "open") {
        rings.push(
          [...trail.slice(trail.indexOf(file)), file].map((path) => relative(lib, path)).join(" -> "),
        );
        return;
      }
      state.set(file, "open");
      for (const target of graph.get(file) ?? []) visit(target, [...trail, file]);
      state.set(file, "done");
    };
    for (const file of files) visit(file, []);
    expect(rings).toEqual([]);
  });

  test("source files stay under 300 lines", () => {
    const long = files
      .map((file) => ({ file: relative(lib, file), lines: readFileSync(file, "utf8").split("\n").length }))
      .filter(({ lines }) => lines > 300);
    expect(long).toEqual([]);
  });
});
