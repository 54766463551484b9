/**
 * A disk that loses its power: calls of the file system are written down as they are made, and what a disk may hold after a
 * cut at any of them is laid out anew. Until a file is flushed its bytes may be there or not, sector by sector; until a folder is
 * flushed a name made, moved or removed in it may be as it was before. What was flushed is there.
 *
 * The model is the least that POSIX promises of fsync, not what one file system does besides.
 */
import fs, { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { basename, dirname, join, relative, resolve, sep } from "node:path";

type Change =
  | { readonly kind: "name"; readonly names: readonly (readonly [string, string | undefined])[] }
  | { readonly kind: "bytes"; readonly at: number; readonly bytes: Buffer }
  | { readonly kind: "size"; readonly size: number };
/** One call: what it changes of a file or folder, or that the file or folder is flushed. */
type Step = { readonly of: string; readonly change?: Change };

/** What was done, and what was acknowledged after how many calls. */
export interface Recording<A> {
  readonly start: ReadonlyMap<string, Node>;
  readonly steps: readonly Step[];
  readonly acknowledged: readonly { readonly after: number; readonly what: A }[];
}
/** A file's bytes, or the names in a folder with the file or folder each leads to. */
type Node = Buffer | ReadonlyMap<string, string>;

const ROOT = "root";
const SECTOR = 512;

const CHANGING = [
  "openSync",
  "closeSync",
  "writeSync",
  "ftruncateSync",
  "fsyncSync",
  "mkdirSync",
  "renameSync",
  "unlinkSync",
  "rmSync",
  "writeFileSync",
  "cpSync",
] as const;

/** The calls as they stand now. */
const calls = (): Pick<typeof fs, (typeof CHANGING)[number]> =>
  Object.fromEntries(CHANGING.map((name) => [name, fs[name]])) as never;

function nodesOf(folder: string, id: string, nodes: Map<string, Node>): void {
  const names = new Map<string, string>();
  for (const name of readdirSync(folder)) {
    const [path, own] = [join(folder, name), `${id}/${name}`];
    names.set(name, own);
    if (statSync(path).isDirectory()) nodesOf(path, own, nodes);
    else nodes.set(own, readFileSync(path));
  }
  nodes.set(id, names);
}

/** Does some work under a folder and writes down every call that changes it. */
export function record<A>(root: string, work: (acknowledge: (what: A) => void) => void): Recording<A> {
  const start = new Map<string, Node>();
  nodesOf(root, ROOT, start);
  const steps: Step[] = [];
  const acknowledged: { after: number; what: A }[] = [];
  const living = new Map<string, Map<string, string>>();
  for (const [id, node] of start) if (!Buffer.isBuffer(node)) living.set(id, new Map(node));
  const open = new Map<number, string>();
  const real = calls();
  let made = 0;
  const inside = (path: unknown): path is string =>
    typeof path === "string" && !relative(root, resolve(path)).startsWith("..");
  const find = (path: string): string | undefined =>
    relative(root, resolve(path))
      .split(sep)
      .filter((part) => part !== "")
      .reduce<string | undefined>((at, part) => at && living.get(at)?.get(part), ROOT);
  const folderOf = (path: string): string => find(dirname(resolve(path)))!;
  const name = (folder: string, names: readonly (readonly [string, string | undefined])[]): void => {
    for (const [key, id] of names) {
      if (id === undefined) living.get(folder)!.delete(key);
      else living.get(folder)!.set(key, id);
    }
    steps.push({ of: folder, change: { kind: "name", names } });
  };
  const make = (path: string, kind = "file"): string => {
    const id = `${kind} ${made++}`;
    name(folderOf(path), [[basename(path), id]]);
    return id;
  };
  const put = (of: string, at: number, bytes: Buffer): void => {
    steps.push({ of, change: { kind: "bytes", at, bytes: Buffer.from(bytes) } });
  };
  /** A file written by a call that flushes nothing. */
  const writeLoose = (path: string): void => {
    const id = find(path) ?? make(path);
    steps.push({ of: id, change: { kind: "size", size: 0 } });
    put(id, 0, readFileSync(path));
  };
  Object.assign(fs, {
    openSync(path: string, flags: string, mode?: number) {
      const file = real.openSync(path, flags, mode);
      if (!inside(path)) return file;
      const known = find(path);
      if (known !== undefined && flags.startsWith("w"))
        steps.push({ of: known, change: { kind: "size", size: 0 } });
      open.set(file, known ?? make(path));
      return file;
    },
    closeSync(file: number) {
      open.delete(file);
      real.closeSync(file);
    },
    writeSync(file: number, bytes: Buffer | string, ...rest: never[]) {
      const of = open.get(file);
      const at = of === undefined ? 0 : fs.fstatSync(file).size;
      const count = real.writeSync(file, bytes as never, ...rest);
      if (of !== undefined) {
        const from = typeof rest[0] === "number" ? rest[0] : 0;
        put(of, at, Buffer.from(bytes as never).subarray(from, from + count));
      }
      return count;
    },
    ftruncateSync(file: number, size: number) {
      real.ftruncateSync(file, size);
      if (open.has(file)) steps.push({ of: open.get(file)!, change: { kind: "size", size } });
    },
    fsyncSync(file: number) {
      if (open.has(file)) steps.push({ of: open.get(file)! });
    },
    mkdirSync(path: string, options?: object) {
      const missing: string[] = [];
      for (let at = resolve(path); inside(at) && find(at) === undefined; at = dirname(at))
        missing.unshift(at);
      const answer = real.mkdirSync(path, options);
      for (const one of missing) living.set(make(one, "folder"), new Map());
      return answer;
    },
    renameSync(from: string, to: string) {
      real.renameSync(from, to);
      if (inside(from))
        name(folderOf(from), [
          [basename(from), undefined],
          [basename(to), find(from)],
        ]);
    },
    unlinkSync(path: string) {
      real.unlinkSync(path);
      if (inside(path)) name(folderOf(path), [[basename(path), undefined]]);
    },
    rmSync(path: string, options?: object) {
      const known = inside(path) && find(path) !== undefined;
      real.rmSync(path, options);
      if (known) name(folderOf(path), [[basename(path), undefined]]);
    },
    writeFileSync(path: string, content: never) {
      real.writeFileSync(path, content);
      if (inside(path)) writeLoose(path);
    },
    cpSync(from: string, to: string) {
      fs.copyFileSync(from, to);
      if (inside(to)) writeLoose(to);
    },
  });
  syncBuiltinESMExports();
  try {
    work((what) => acknowledged.push({ after: steps.length, what }));
  } finally {
    Object.assign(fs, real);
    syncBuiltinESMExports();
  }
  return { start, steps, acknowledged };
}

/** Whether a change that was not flushed is there all the same. */
export type Luck = () => boolean;

/** Lays out in a new folder what the disk holds when the power goes before the step of this number. */
export function layOut<A>(
  recording: Recording<A>,
  { cut, luck, into }: { cut: number; luck: Luck; into: string },
): void {
  const nodes = new Map<string, Node>(recording.start);
  const pending = new Map<string, Change[]>();
  for (const { of, change } of recording.steps.slice(0, cut)) {
    if (change !== undefined) {
      pending.set(of, [...(pending.get(of) ?? []), change]);
      continue;
    }
    nodes.set(
      of,
      applied(nodes.get(of) ?? emptyOf(of), pending.get(of) ?? [], () => true),
    );
    pending.delete(of);
  }
  for (const [of, changes] of pending) nodes.set(of, applied(nodes.get(of) ?? emptyOf(of), changes, luck));
  lay(ROOT, into, nodes);
}

const emptyOf = (id: string): Node => (id.startsWith("folder") ? new Map<string, string>() : Buffer.alloc(0));

function applied(node: Node, changes: readonly Change[], luck: Luck): Node {
  const isFile = Buffer.isBuffer(node);
  const names = new Map(isFile ? [] : node);
  let bytes = isFile ? node : Buffer.alloc(0);
  const stuck = new Set<string>();
  for (const change of changes) {
    if (change.kind === "bytes") bytes = written(bytes, change, luck);
    else if (change.kind === "size") {
      if (luck())
        bytes = Buffer.concat([
          bytes.subarray(0, change.size),
          Buffer.alloc(Math.max(0, change.size - bytes.length)),
        ]);
    } else {
      // What follows on a name that was left as it was cannot be there either.
      if (change.names.some(([key]) => stuck.has(key)) || !luck()) {
        for (const [key] of change.names) stuck.add(key);
        continue;
      }
      for (const [key, id] of change.names) {
        if (id === undefined) names.delete(key);
        else names.set(key, id);
      }
    }
  }
  return isFile ? bytes : names;
}

/** Sectors that are not there read as they did, past the end as zeros; how long the file is may be known before its bytes are. */
function written(
  before: Buffer,
  { at, bytes }: { readonly at: number; readonly bytes: Buffer },
  luck: Luck,
): Buffer {
  const after = Buffer.concat([before, Buffer.alloc(Math.max(0, at + bytes.length - before.length))]);
  let end = luck() ? at + bytes.length : 0;
  for (let from = at; from < at + bytes.length; ) {
    const to = Math.min(at + bytes.length, (Math.floor(from / SECTOR) + 1) * SECTOR);
    if (luck()) {
      bytes.copy(after, from, from - at, to - at);
      end = Math.max(end, to);
    }
    from = to;
  }
  return after.subarray(0, Math.max(before.length, end));
}

function lay(id: string, path: string, nodes: ReadonlyMap<string, Node>): void {
  const node = nodes.get(id) ?? emptyOf(id);
  if (Buffer.isBuffer(node)) {
    writeFileSync(path, node);
    return;
  }
  mkdirSync(path, { recursive: true });
  for (const [name, inner] of node) lay(inner, join(path, name), nodes);
}
