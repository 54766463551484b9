/**
 * Keeps the page's own files, so that it loads without a connection. Entries and answers are not its business: the page
 * keeps those itself.
 */

/** The parts of a service worker used here; the compiler knows those of a page only. */
interface Worker {
  addEventListener(type: string, listener: (event: WorkerEvent) => void): void;
  skipWaiting(): Promise<void>;
  readonly clients: { claim(): Promise<void> };
}
interface WorkerEvent {
  readonly request: Request;
  waitUntil(work: Promise<unknown>): void;
  respondWith(answer: Promise<Response>): void;
}

const KEPT = "bench-page";
/** How long the network may take before the copy is used. */
const PATIENCE_MS = 3000;

const worker = globalThis as unknown as Worker;

async function keepAll(): Promise<void> {
  const kept = await caches.open(KEPT);
  const files = (await (await fetch("/files")).json()) as readonly string[];
  await kept.addAll(files);
}

/** The file from the network, so that a new version shows at once; the copy where the network does not answer. */
async function newestOrKept(request: Request): Promise<Response> {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok) await kept.put(request, answer.clone());
    return answer;
  } catch (error) {
    const copy = await kept.match(request);
    if (copy === undefined) throw error;
    return copy;
  }
}

worker.addEventListener("install", (event) => {
  event.waitUntil(keepAll().then(() => worker.skipWaiting()));
});
worker.addEventListener("activate", (event) => {
  event.waitUntil(worker.clients.claim());
});
worker.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.method !== "GET" || /^\/(api|door|files)/.test(pathname)) return;
  event.respondWith(newestOrKept(event.request));
});
