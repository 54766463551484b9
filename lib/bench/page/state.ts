import type { BenchDay, BenchLesson, BenchRefusal, BenchStanding, BenchTask } from "../wire/index.js";
import { copyOf, dropRequest, keepCopy, keepRequest, keptRequests, type WaitingRequest } from "./store.js";
import { ask, type Outcome, send } from "./talk.js";

/** A word to whoever logs, with the request it may take back. */
export interface Said {
  readonly text: string;
  readonly warnings: readonly string[];
  readonly undo?: string;
}

/** What the page knows. */
export interface BenchState {
  day?: BenchDay;
  standing?: BenchStanding;
  /** The chance of the best setting before the last coupon. */
  chanceBefore?: number;
  lesson?: BenchLesson;
  /** Kept in this browser, in order. */
  waiting: readonly WaitingRequest[];
  connection: "there" | "gone" | "code";
  said?: Said;
}

export const state: BenchState = { waiting: [], connection: "there" };

const listeners = new Set<() => void>();

/** Calls back whenever something changed. */
export function onChange(listener: () => void): void {
  listeners.add(listener);
}

function changed(): void {
  for (const listener of listeners) listener();
}

/** Nothing is drawn anew while the connection stays as it was: a tap just under way would be lost. */
function connect(connection: BenchState["connection"]): void {
  if (state.connection === connection) return;
  state.connection = connection;
  changed();
}

/** Says a word, until the next. */
export function say(said: Said): void {
  state.said = said;
  changed();
}

/** Shows what was kept, then asks the server. */
export async function start(): Promise<void> {
  const [day, standing] = await Promise.all([copyOf<BenchDay>("day"), copyOf<BenchStanding>("standing")]);
  if (day !== undefined) state.day = day;
  if (standing !== undefined) state.standing = standing;
  state.waiting = await keptRequests();
  changed();
  await refresh();
  await flush();
}

/** Asks the server for the day anew, and for the standing where the journal went on. */
export async function refresh(): Promise<void> {
  const day = await ask<BenchDay>("/api/day");
  if (day === undefined || day === "code") {
    connect(day === "code" ? "code" : "gone");
    return;
  }
  const wasAway = state.connection !== "there";
  state.connection = "there";
  const another = state.day !== undefined && state.day.home !== day.home;
  if (another) forget();
  const same = JSON.stringify(state.day) === JSON.stringify(day) && !wasAway;
  state.day = day;
  if (!same) {
    await keepCopy("day", day);
    changed();
  }
  // Searching the window takes a while: nobody waits for it.
  if (state.standing?.revision !== day.revision) void stand();
}

let searching = false;

/** Asks for the best setting anew. */
async function stand(): Promise<void> {
  if (searching) return;
  searching = true;
  const standing = await ask<BenchStanding>("/api/standing");
  searching = false;
  if (standing === undefined || standing === "code") return;
  if (state.standing !== undefined && state.standing.coupons < standing.coupons)
    state.chanceBefore = state.standing.chance;
  state.standing = standing;
  await keepCopy("standing", standing);
  changed();
}

/** Another study is served at this address: nothing said of the first holds. */
function forget(): void {
  delete state.standing;
  delete state.lesson;
  delete state.chanceBefore;
}

/** What waits for the study that is served now, and was not refused. */
export const ready = (): readonly WaitingRequest[] =>
  state.waiting.filter(({ request, refused }) => refused === undefined && request.home === state.day?.home);

/** Coupons logged here whose entries wait for a connection. */
export function waitingCoupons(): ReadonlySet<string> {
  const waiting = ready().map(({ request }) => request);
  const back = new Set(waiting.map(({ task }) => (task.kind === "undo" ? task.request : undefined)));
  return new Set(
    waiting.flatMap(({ id, task }) => (task.kind === "coupon" && !back.has(id) ? [task.coupon] : [])),
  );
}

/** What goes with a task. */
export interface Enclosed {
  readonly photo?: Blob;
  readonly photoNote?: string;
  /** The refused request that this one mends: it stays until this one is kept or written. */
  readonly mends?: WaitingRequest;
}

/** Keeps a task in the browser and sends it; resolves with what became of it. */
export async function submit(
  task: BenchTask,
  { photo, photoNote, mends }: Enclosed = {},
): Promise<{ readonly id: string; readonly outcome: Outcome }> {
  const id = freshName();
  const request = {
    id,
    home: state.day!.home,
    made: mends?.request.made ?? new Date().toISOString(),
    task,
    ...(photoNote === undefined ? {} : { photoNote }),
  };
  await keepRequest({ request, ...(photo === undefined ? {} : { photo }) });
  state.waiting = await keptRequests();
  changed();
  await flush();
  const outcome = outcomes.get(id) ?? { kind: "later" };
  // A refusal goes back to the form it came from, which still holds the values.
  const refused = state.waiting.find((kept) => kept.request.id === id && kept.refused !== undefined);
  const over = refused ?? mends;
  if (over !== undefined) await giveUp(over.place);
  return { id, outcome };
}

/** Drops a request that was refused. */
export async function giveUp(place: number): Promise<void> {
  await dropRequest(place);
  state.waiting = await keptRequests();
  changed();
}

/** Unlike any other name; `crypto.randomUUID` is not there at a plain http address on the network. */
function freshName(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** What became of each request, whichever round sent it: one that was under way may take a new request along. */
const outcomes = new Map<string, Outcome>();

let last: Promise<unknown> = Promise.resolve();

/** Sends what waits, in order, one at a time. */
export function flush(): Promise<void> {
  const round = last.then(flushOnce);
  last = round.catch(() => undefined);
  return round;
}

async function flushOnce(): Promise<void> {
  let moved = false;
  for (const kept of ready()) {
    const outcome = await send(kept);
    outcomes.set(kept.request.id, outcome);
    connect(outcome.kind === "later" ? "gone" : outcome.kind === "code" ? "code" : "there");
    if (outcome.kind === "later" || outcome.kind === "code") break;
    if (outcome.kind === "refused") await keepRefused(kept, outcome.refusal);
    else await dropRequest(kept.place);
    // A refusal may come of a journal that went on.
    moved = true;
    state.waiting = await keptRequests();
  }
  if (!moved) return;
  changed();
  await refresh();
}

/** A refused request waits for its maker, unless it was to take back another one that was refused: then both are off. */
async function keepRefused(kept: WaitingRequest, refused: BenchRefusal): Promise<void> {
  const { task } = kept.request;
  const target =
    task.kind === "undo" &&
    state.waiting.find((one) => one.request.id === task.request && one.refused !== undefined);
  if (target) {
    await dropRequest(target.place);
    await dropRequest(kept.place);
  } else await keepRequest({ ...kept, refused });
}

/** Asks what a coupon taught. */
export async function learn(coupon: string): Promise<void> {
  const lesson = await ask<BenchLesson>(`/api/lesson/${encodeURIComponent(coupon)}`);
  if (lesson === undefined || lesson === "code") return;
  state.lesson = lesson;
  changed();
}
