import type { BenchRefusal, BenchRequest } from "../wire/index.js";

/** A request kept in this browser until the server has it. */
export interface KeptRequest {
  /** Its place in the order in which requests were made. */
  readonly place?: number;
  readonly request: BenchRequest;
  readonly photo?: Blob;
  /** Why the server did not take it; it waits for whoever made it. */
  readonly refused?: BenchRefusal;
}

/** One that lies in the store. */
export type WaitingRequest = KeptRequest & { readonly place: number };

const DATABASE = "beadbench-bench";
const REQUESTS = "requests";
const COPIES = "copies";

let opened: Promise<IDBDatabase> | undefined;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(REQUESTS, { keyPath: "place", autoIncrement: true });
      asked.result.createObjectStore(COPIES);
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  return opened;
}

/** Runs one request on a store and resolves once it is on disk. */
async function within<T>(
  name: string,
  mode: IDBTransactionMode,
  work: (store: IDBObjectStore) => IDBRequest<T>,
): Promise<T> {
  const transaction = (await database()).transaction(name, mode, { durability: "strict" });
  const asked = work(transaction.objectStore(name));
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(asked.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

/** Keeps a request; when this resolves it survives a closed page. */
export async function keepRequest(kept: KeptRequest): Promise<void> {
  await within(REQUESTS, "readwrite", (store) => store.put(kept));
}

/** Forgets a request that the server has, or that its maker gave up. */
export async function dropRequest(place: number): Promise<void> {
  await within(REQUESTS, "readwrite", (store) => store.delete(place));
}

/** The requests kept, in the order they were made. */
export function keptRequests(): Promise<readonly WaitingRequest[]> {
  return within(REQUESTS, "readonly", (store) => store.getAll());
}

/** Keeps a copy of what the server last said, to show without a connection. */
export async function keepCopy(name: string, value: unknown): Promise<void> {
  await within(COPIES, "readwrite", (store) => store.put(value, name));
}

/** The copy kept under a name; undefined where there is none. */
export function copyOf<T>(name: string): Promise<T | undefined> {
  return within(COPIES, "readonly", (store) => store.get(name) as IDBRequest<T | undefined>);
}
