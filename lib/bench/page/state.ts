import type { BenchDay, BenchLesson, BenchStanding, BenchTask } from "../wire/index.js";
import { copyOf, dropRequest, type KeptRequest, keepCopy, keepRequest, keptRequests } from "./store.js";
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
  waiting: readonly (KeptRequest & { readonly place: number })[];
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
    state.connection = day === "code" ? "code" : "gone";
    changed();
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
  if (state.standing?.revision === day.revision) return;
  const standing = await ask<BenchStanding>("/api/standing");
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
export const ready = (): readonly (KeptRequest & { readonly place: number })[] =>
  state.waiting.filter(({ request, refused }) => refused === undefined && request.home === state.day?.home);

/** Keeps a task in the browser and sends it; resolves with what became of it. */
export async function submit(
  task: BenchTask,
  picture: { readonly photo?: Blob; readonly photoNote?: string } = {},
): Promise<{ readonly id: string; readonly outcome: Outcome }> {
  const { photo, photoNote } = picture;
  const id = freshName();
  const request = {
    id,
    home: state.day!.home,
    made: new Date().toISOString(),
    task,
    ...(photoNote === undefined ? {} : { photoNote }),
  };
  await keepRequest({ request, ...(photo === undefined ? {} : { photo }) });
  state.waiting = await keptRequests();
  changed();
  const outcome = (await flush()).get(id) ?? { kind: "later" };
  // A refusal goes back to the form it came from, which still holds the values.
  const refused = state.waiting.find((kept) => kept.request.id === id && kept.refused !== undefined);
  if (refused !== undefined) await giveUp(refused.place);
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

type Outcomes = ReadonlyMap<string, Outcome>;

let last: Promise<unknown> = Promise.resolve();

/** Sends what waits, in order, one at a time; resolves with what became of each. */
export function flush(): Promise<Outcomes> {
  const round = last.then(flushOnce);
  last = round.catch(() => undefined);
  return round;
}

async function flushOnce(): Promise<Outcomes> {
  const outcomes = new Map<string, Outcome>();
  let moved = false;
  for (const kept of ready()) {
    const outcome = await send(kept);
    outcomes.set(kept.request.id, outcome);
    state.connection = outcome.kind === "later" ? "gone" : outcome.kind === "code" ? "code" : "there";
    if (outcome.kind === "later" || outcome.kind === "code") break;
    if (outcome.kind === "refused") await keepRequest({ ...kept, refused: outcome.refusal });
    else await dropRequest(kept.place);
    // A refusal may come of a journal that went on.
    moved = true;
    state.waiting = await keptRequests();
  }
  changed();
  if (moved) await refresh();
  return outcomes;
}

/** Asks what a coupon taught. */
export async function learn(coupon: string): Promise<void> {
  const lesson = await ask<BenchLesson>(`/api/lesson/${encodeURIComponent(coupon)}`);
  if (lesson === undefined || lesson === "code") return;
  state.lesson = lesson;
  changed();
}
