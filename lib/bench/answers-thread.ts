import { BeadbenchError } from "../errors/index.js";
import type { Answer, Answers, Question } from "./answers.js";

/** A question on its way to the thread that answers. */
export interface Asked {
  readonly id: number;
  readonly question: Question;
}

/** What comes back: an answer, why there is none, or a fault of the program. */
export type Told = { readonly id: number } & (
  | { readonly found: Answer[Question["about"]] }
  | { readonly refusal: Pick<BeadbenchError, "code" | "message" | "details"> }
  | { readonly fault: string }
);

interface Waiting {
  readonly resolve: (answer: never) => void;
  readonly reject: (error: Error) => void;
}

/** Answers in a thread of their own, so that whoever asks may go on; `stop` ends it. */
export async function answersInThread(
  folder: string,
): Promise<{ readonly answers: Answers; readonly stop: () => Promise<void> }> {
  const { Worker } = await import("node:worker_threads");
  const waiting = new Map<number, Waiting>();
  let last = 0;
  let running: InstanceType<typeof Worker> | undefined;

  /** A thread that broke, for want of memory say, is replaced when the next question comes. */
  function start(): InstanceType<typeof Worker> {
    const worker = new Worker(new URL("./answers-worker.js", import.meta.url), { workerData: { folder } });
    worker.on("message", (told: Told) => {
      const { resolve, reject } = waiting.get(told.id)!;
      waiting.delete(told.id);
      if ("found" in told) resolve(told.found as never);
      else reject(errorOf(told));
    });
    worker.on("error", (error: Error) => {
      running = undefined;
      for (const { reject } of waiting.values()) reject(error);
      waiting.clear();
    });
    return worker;
  }

  return {
    answers: (question) =>
      new Promise((resolve, reject) => {
        running ??= start();
        const id = ++last;
        waiting.set(id, { resolve: resolve as (answer: never) => void, reject });
        running.postMessage({ id, question } satisfies Asked);
      }),
    stop: async () => {
      await running?.terminate();
    },
  };
}

function errorOf(told: Exclude<Told, { readonly found: unknown }>): Error {
  if ("fault" in told) return new Error(told.fault);
  const { code, message, details } = told.refusal;
  return new BeadbenchError(code, message, details);
}
