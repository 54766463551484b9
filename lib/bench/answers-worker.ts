/** The thread that answers: searching a window takes a second or more, in which entries are still to be taken. */
import { parentPort, workerData } from "node:worker_threads";
import { BeadbenchError } from "../errors/index.js";
import { answersHere } from "./answers.js";
import type { Asked, Told } from "./answers-thread.js";

const answer = answersHere((workerData as { readonly folder: string }).folder);

parentPort!.on("message", ({ id, question }: Asked) => {
  answer(question).then(
    (found) => tell({ id, found }),
    (error: Error) => {
      const { message, stack } = error;
      tell(
        error instanceof BeadbenchError
          ? { id, refusal: { code: error.code, message, details: error.details } }
          : { id, fault: stack ?? message },
      );
    },
  );
});

const tell = (told: Told): void => parentPort!.postMessage(told);
