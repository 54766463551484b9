import type { Server } from "node:http";
import type { AddressInfo } from "node:net";
import { BeadbenchError, onlyDefined } from "../errors/index.js";
import { answersInThread } from "./answers-thread.js";
import { makeApp } from "./app.js";
import { isLoopback, makeDoor, ownNames } from "./guard.js";
import { readPageFiles } from "./page-files.js";
import type { Desk } from "./record-task.js";

/** Where and how the page is served. */
export interface BenchOptions extends Desk {
  /** Address to listen on. Default this machine alone. */
  readonly host?: string;
  /** 0 takes a free one. */
  readonly port: number;
  /** Tells a one-time code to whoever sits at the terminal. */
  readonly showCode: (code: string) => void;
}

/** A page being served. */
export interface RunningBench {
  readonly url: string;
  close(): Promise<void>;
}

/**
 * Serves the bench page of a study until it is closed.
 *
 * @throws {BeadbenchError} `bad-argument` where the address cannot be listened on, `not-found` where the page is not
 *   compiled
 */
export async function serveBench({
  folder,
  clock,
  host = "localhost",
  port,
  showCode,
}: BenchOptions): Promise<RunningBench> {
  const { createAdaptorServer } = await import("@hono/node-server");
  const door = isLoopback(host) ? undefined : makeDoor(showCode, clock);
  const { answers, stop } = await answersInThread(folder);
  const app = await makeApp({
    answers,
    folder,
    clock,
    files: readPageFiles(),
    names: ownNames(host),
    ...onlyDefined({ door }),
  });
  const server = createAdaptorServer({ fetch: app.fetch }) as Server;
  await new Promise<void>((resolve, reject) => {
    server.once("error", (error: NodeJS.ErrnoException) => reject(whyNot(error, host, port)));
    // The name alone might be taken for one of its two addresses.
    server.listen(port, host === "localhost" ? "127.0.0.1" : host, resolve);
  });
  const { port: taken } = server.address() as AddressInfo;
  const shown = host.includes(":") ? `[${host}]` : host;
  return {
    url: `http://${shown}:${taken}/`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve(stop()));
        server.closeAllConnections();
      }),
  };
}

function whyNot({ code, message }: NodeJS.ErrnoException, host: string, port: number): BeadbenchError {
  const why =
    code === "EADDRINUSE"
      ? `port ${port} is in use, perhaps by another bench page; name another with --port`
      : code === "EADDRNOTAVAIL" || code === "ENOTFOUND"
        ? `${host} is no address of this machine; name one with --host, or 0.0.0.0 for all of them`
        : `cannot serve at ${host}, port ${port}: ${message}`;
  return new BeadbenchError("bad-argument", why);
}
