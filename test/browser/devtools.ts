import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Readable, Writable } from "node:stream";

/** An event of the browser: `Page.loadEventFired` and the like. */
export interface BrowserEvent {
  readonly method: string;
  readonly params: Record<string, unknown>;
}

type Reply = { readonly result?: Record<string, unknown>; readonly error?: { readonly message: string } };

const flags = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--hide-scrollbars",
  "--remote-debugging-pipe",
];

/** A headless Chromium driven over a pipe with the DevTools protocol (messages end with a zero byte). */
export class Browser {
  readonly events: BrowserEvent[] = [];
  private readonly waiting = new Map<number, (reply: Reply) => void>();
  private readonly listeners = new Set<(event: BrowserEvent) => void>();
  private last = 0;
  private session: string | undefined;

  private constructor(
    private readonly child: ChildProcess,
    private readonly profile: string,
  ) {
    let rest = "";
    (child.stdio[4] as Readable).setEncoding("utf8").on("data", (chunk: string) => {
      const messages = (rest + chunk).split("\0");
      rest = messages.pop()!;
      for (const message of messages) this.receive(JSON.parse(message));
    });
  }

  /** Starts the browser with an empty profile and opens an empty page. */
  static async start(program: string): Promise<Browser> {
    const profile = mkdtempSync(join(tmpdir(), "page-check-"));
    const child = spawn(program, [...flags, `--user-data-dir=${profile}`, "about:blank"], {
      stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"],
    });
    await new Promise<void>((resolve, reject) => {
      child.once("spawn", resolve);
      child.once("error", (error) => reject(new Error(`cannot start ${program}: ${error.message}`)));
    });
    const browser = new Browser(child, profile);
    const { targetId } = await browser.send("Target.createTarget", { url: "about:blank" });
    const { sessionId } = await browser.send("Target.attachToTarget", { targetId, flatten: true });
    browser.session = sessionId as string;
    return browser;
  }

  /** Sends a command and resolves with its result. */
  async send(method: string, params: Record<string, unknown> = {}): Promise<Record<string, unknown>> {
    const id = ++this.last;
    const message = {
      id,
      method,
      params,
      ...(this.session === undefined ? {} : { sessionId: this.session }),
    };
    const reply = await new Promise<Reply>((resolve, reject) => {
      const timer = setTimeout(() => reject(new Error(`no answer to ${method} within 30 s`)), 30_000);
      this.waiting.set(id, (answer) => {
        clearTimeout(timer);
        resolve(answer);
      });
      (this.child.stdio[3] as Writable).write(`${JSON.stringify(message)}\0`);
    });
    if (reply.error !== undefined) throw new Error(`${method}: ${reply.error.message}`);
    return reply.result ?? {};
  }

  /** Resolves when the event comes, after starting the action that causes it. */
  async during(method: string, action: () => Promise<unknown>): Promise<void> {
    const arrived = new Promise<void>((resolve) => {
      const listener = (event: BrowserEvent): void => {
        if (event.method !== method) return;
        this.listeners.delete(listener);
        resolve();
      };
      this.listeners.add(listener);
    });
    await action();
    await arrived;
  }

  async close(): Promise<void> {
    const gone = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.kill();
    await gone;
    try {
      rmSync(this.profile, { recursive: true, force: true, maxRetries: 20, retryDelay: 200 });
    } catch (error) {
      console.error(`left ${this.profile} behind: ${(error as Error).message}`);
    }
  }

  private receive(message: BrowserEvent & Reply & { readonly id?: number }): void {
    if (message.id !== undefined) {
      this.waiting.get(message.id)?.(message);
      this.waiting.delete(message.id);
      return;
    }
    this.events.push(message);
    for (const listener of [...this.listeners]) listener(message);
  }
}
