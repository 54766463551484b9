import type { BenchReceipt, BenchRefusal } from "../wire/index.js";
import type { KeptRequest } from "./store.js";

/** What became of a request that was sent. */
export type Outcome =
  | { readonly kind: "written"; readonly receipt: BenchReceipt }
  | { readonly kind: "refused"; readonly refusal: BenchRefusal }
  /** Not now: no connection, or the journal is held by another program. */
  | { readonly kind: "later" }
  /** The server wants the code first. */
  | { readonly kind: "code" };

/** How long to wait for an answer before the connection counts as gone. */
const PATIENCE_MS = 20_000;

/** Asks the server for something; undefined without a connection. */
export async function ask<T>(path: string): Promise<T | "code" | undefined> {
  try {
    const answer = await fetch(path, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.status === 401) return "code";
    return answer.ok ? ((await answer.json()) as T) : undefined;
  } catch {
    return undefined;
  }
}

/** Sends a request; it may be sent again, since the server writes it once. */
export async function send({ request, photo }: KeptRequest): Promise<Outcome> {
  const form = new FormData();
  form.set("request", JSON.stringify(request));
  if (photo !== undefined) form.set("photo", photo);
  try {
    const answer = await fetch("/api/task", {
      method: "POST",
      body: form,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.status === 401) return { kind: "code" };
    if (answer.ok) return { kind: "written", receipt: (await answer.json()) as BenchReceipt };
    const refusal = await refusalIn(answer);
    return refusal.later ? { kind: "later" } : { kind: "refused", refusal };
  } catch {
    return { kind: "later" };
  }
}

/** A refusal may also come as plain text, before the request was read. */
async function refusalIn(answer: Response): Promise<BenchRefusal> {
  const text = await answer.text();
  try {
    return JSON.parse(text) as BenchRefusal;
  } catch {
    return { message: text.trim(), faults: [], later: answer.status >= 500 };
  }
}
