import { randomBytes } from "node:crypto";
import { closeSync, openSync, readFileSync, statSync, unlinkSync, writeSync } from "node:fs";
import { hostname, uptime } from "node:os";
import { join } from "node:path";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { systemClock } from "./clock.js";
import { patiently, sleep } from "./disk.js";

const LOCK_FILE = "journal.lock";
const POLL_MS = 5;
/** A lock file may be empty for the moment between its creation and its filling, not longer. */
const FILLING_MS = 2000;
/** Locks left behind that are taken over without waiting; more of them mean that something keeps dying. */
const MOST_TAKEN_OVER = 100;
/** Whoever removes a lock left behind may be killed too, and whoever removes what that one left, and so on this often. */
const MOST_GUARDS = 4;
/** A process begun this much later than a lock was taken has its number from one that ended, seconds. */
const BEGUN_AFTER = 2;

interface Holder {
  readonly pid: number;
  readonly host: string;
  /** Seconds since the machine started, when the lock was taken. */
  readonly uptime: number;
  /** Which start of the machine it is, where the system tells. */
  readonly boot?: string;
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
    ...onlyDefined({ boot: bootName() }),
    token: randomBytes(8).toString("hex"),
    time,
  };
  acquire(path, own, waitMs);
  try {
    return work();
  } finally {
    if (readHolder(path)?.token === own.token) patiently(() => unlinkSync(path));
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
    if (
      isStale(holder, emptyMs) &&
      takenOver < MOST_TAKEN_OVER &&
      removeStale(path, own, { emptyMs, guards: 0 })
    ) {
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
  } catch (error) {
    // On a full disk; an empty lock would keep others waiting.
    unlinkSync(path);
    throw error;
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
  const boot = bootName();
  if (uptime() < holder.uptime || (holder.boot !== undefined && boot !== undefined && holder.boot !== boot))
    return true;
  return !isRunning(holder.pid) || (begunAt(holder.pid) ?? 0) > holder.uptime + BEGUN_AFTER;
}

/** What Linux calls this start of the machine; other systems have no such name. */
function bootName(): string | undefined {
  try {
    return readFileSync("/proc/sys/kernel/random/boot_id", "utf8").trim();
  } catch {
    return undefined;
  }
}

/**
 * When a process began, in seconds since the machine started, where the system tells.
 *
 * @source proc_pid_stat(5): field 22, in hundredths of a second on all common machines; the name before it may hold anything
 */
function begunAt(pid: number): number | undefined {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8");
    return Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[19]) / 100;
  } catch {
    return undefined;
  }
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

/** Only one process at a time may remove a stale lock, the holder of its guard, and it looks again first: a fresh lock stays. */
function removeStale(
  path: string,
  own: Holder,
  { emptyMs, guards }: { readonly emptyMs: number; readonly guards: number },
): boolean {
  const guard = `${path}.takeover`;
  if (!tryCreate(guard, JSON.stringify(own))) {
    const guardMs = ageOf(guard);
    if (!isStale(readHolder(guard), guardMs)) return false;
    if (guards === MOST_GUARDS) throw heldError(guard);
    return removeStale(guard, own, { emptyMs: guardMs, guards: guards + 1 });
  }
  try {
    if (isStale(readHolder(path), emptyMs)) patiently(() => unlinkSync(path));
  } finally {
    patiently(() => unlinkSync(guard));
  }
  return true;
}

/** How long ago a file was made, ms, by the clock; 0 where it is gone. */
function ageOf(path: string): number {
  const made = statSync(path, { throwIfNoEntry: false })?.mtimeMs;
  return made === undefined ? 0 : systemClock().getTime() - made;
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
