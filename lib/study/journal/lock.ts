import { randomBytes } from "node:crypto";
import { closeSync, openSync, readFileSync, unlinkSync, writeSync } from "node:fs";
import { hostname, uptime } from "node:os";
import { join } from "node:path";
import { BeadbenchError } from "../../errors/index.js";

const LOCK_FILE = "journal.lock";
const POLL_MS = 5;
/** A lock file may be empty for the moment between its creation and its filling, not longer. */
const FILLING_MS = 2000;
/** Locks left behind that are taken over without waiting; more of them mean that something keeps dying. */
const MOST_TAKEN_OVER = 100;

interface Holder {
  readonly pid: number;
  readonly host: string;
  /** Seconds since the machine started, when the lock was taken. */
  readonly uptime: number;
  readonly token: string;
  readonly time: string;
}

/**
 * Runs `work` while no other process writes to the study.
 * A lock left by a process that no longer runs is taken over when that is certain: same host, and the
 * process is gone or the machine was restarted since. A lock of another host is never taken over.
 *
 * @throws {BeadbenchError} `locked`, saying who holds the lock
 */
export function withLock<T>({
  folder,
  time,
  waitMs,
  work,
}: {
  readonly folder: string;
  /** RFC 3339 time, shown to whoever has to wait. */
  readonly time: string;
  /** How long to wait for another writer. */
  readonly waitMs: number;
  readonly work: () => T;
}): T {
  const path = join(folder, LOCK_FILE);
  const own: Holder = {
    pid: process.pid,
    host: hostname(),
    uptime: uptime(),
    token: randomBytes(8).toString("hex"),
    time,
  };
  acquire(path, own, waitMs);
  try {
    return work();
  } finally {
    if (readHolder(path)?.token === own.token) unlinkSync(path);
  }
}

function acquire(path: string, own: Holder, waitMs: number): void {
  const start = performance.now();
  let readable = start;
  let takenOver = 0;
  while (!tryCreate(path, JSON.stringify(own))) {
    const now = performance.now();
    const holder = readHolder(path);
    if (holder === undefined || holder.pid !== undefined) readable = now;
    const emptyMs = now - readable;
    if (isStale(holder, emptyMs) && takenOver < MOST_TAKEN_OVER && removeStale(path, own, emptyMs)) {
      takenOver++;
      continue;
    }
    if (now - start >= waitMs) throw heldError(path);
    sleep(POLL_MS);
  }
}

/** Creates the file unless it exists. */
function tryCreate(path: string, content: string): boolean {
  let file: number;
  try {
    file = openSync(path, "wx");
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    // Windows answers EPERM or EBUSY while a deleted file is still open elsewhere.
    if (code === "EEXIST" || (process.platform === "win32" && (code === "EPERM" || code === "EBUSY")))
      return false;
    throw error;
  }
  try {
    writeSync(file, content);
  } finally {
    closeSync(file);
  }
  return true;
}

/** `undefined` when the lock is gone; without pid when it cannot be read yet. */
function readHolder(path: string): Partial<Holder> | undefined {
  try {
    return JSON.parse(readFileSync(path, "utf8")) as Partial<Holder>;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "ENOENT" ? undefined : {};
  }
}

function isStale(holder: Partial<Holder> | undefined, emptyMs: number): boolean {
  if (holder === undefined) return false;
  if (holder.pid === undefined || holder.uptime === undefined) return emptyMs > FILLING_MS;
  if (holder.host !== hostname()) return false;
  return uptime() < holder.uptime || !isRunning(holder.pid);
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

/** Only one process at a time may remove a stale lock, and it looks again first: a fresh lock stays. */
function removeStale(path: string, own: Holder, emptyMs: number): boolean {
  const guard = `${path}.takeover`;
  if (!tryCreate(guard, JSON.stringify(own))) {
    if (isStale(readHolder(guard), 0)) throw heldError(guard);
    return false;
  }
  try {
    if (isStale(readHolder(path), emptyMs)) unlinkSync(path);
  } finally {
    unlinkSync(guard);
  }
  return true;
}

function heldError(path: string): BeadbenchError {
  const { pid, host, time } = readHolder(path) ?? {};
  const who = pid === undefined ? "an unknown process" : `process ${pid} on ${host} since ${time}`;
  return new BeadbenchError(
    "locked",
    `the study is being written by ${who}; wait for it to finish, or delete ${path} if that process no longer runs`,
    { path, pid, host, time },
  );
}

function sleep(ms: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}
