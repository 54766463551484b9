/**
 * Tries mutated and drawn inputs on every reader and command: `npm run fuzz -- --inputs 20000 --seed 3 --kind trace`. Inputs run in a
 * process of their own, which is ended where one takes too long or too much memory. `--only 17` tries one again and leaves its
 * files; `--messages folder` keeps the different messages of refusals, to be read.
 */
import { type ChildProcess, fork } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { Outcome } from "./attempt.js";
import { kinds } from "./kinds/index.js";
import { makeParquet } from "./parquet.js";
import { type InputName, layOut, makePlace } from "./try-input.js";

const MOST_MEGABYTES = 1024;
/** Of the clock, where other programs hold the machine; the time an input takes by itself is judged in `attempt`. */
const PATIENCE_SECONDS = 90;

interface Answer {
  readonly outcome: Outcome;
  readonly megabytes: number;
}

const { values } = parseArgs({
  options: {
    inputs: { type: "string", default: "2000" },
    seed: { type: "string", default: "1" },
    kind: { type: "string", multiple: true, default: [...kinds.keys()] },
    only: { type: "string" },
    messages: { type: "string" },
  },
});
const seed = Number(values.seed);
const root = mkdtempSync(join(tmpdir(), "fuzz-"));

if (values.only !== undefined) await showOne({ kind: values.kind[0]!, seed, index: Number(values.only) });
else {
  await tryAll(Math.ceil(Number(values.inputs) / values.kind.length));
  rmSync(root, { recursive: true, force: true });
}

/** Lays out one input and prints how to ask for it by hand. */
async function showOne(name: InputName): Promise<void> {
  await makeParquet();
  const { folder, trial } = layOut(await makePlace(root), name);
  console.log(`cd ${folder}`);
  for (const line of trial.lines ?? [])
    console.log(
      line.map((word) => `$'${word.replaceAll(/['\\]/g, "\\$&").replaceAll("\n", "\\n")}'`).join(" "),
    );
  for (const request of trial.requests ?? []) console.log(request.method, request.url, await request.text());
}

/** A process that tries inputs, its memory held to the bound. */
async function startChild(): Promise<ChildProcess> {
  const child = fork(new URL("child.ts", import.meta.url), [root], {
    execArgv: ["--import", "tsx", `--max-old-space-size=${MOST_MEGABYTES}`],
    stdio: ["ignore", "ignore", "inherit", "ipc"],
  });
  await new Promise<void>((ready, fail) => {
    child.once("message", () => ready());
    child.once("exit", (code) => fail(new Error(`the child ended with ${code}`)));
  });
  child.removeAllListeners("exit");
  return child;
}

/** What a child answers; undefined where it ended, or took longer than anyone waits. */
function ask(child: ChildProcess, name: InputName): Promise<Answer | undefined> {
  return new Promise((done) => {
    const timer = setTimeout(() => child.kill("SIGKILL"), 1000 * PATIENCE_SECONDS);
    const finish = (answer: Answer | undefined): void => {
      clearTimeout(timer);
      child.removeAllListeners();
      done(answer);
    };
    child.once("exit", () => finish(undefined));
    child.once("message", (answer: Answer) => finish(answer));
    child.send(name);
  });
}

async function tryAll(each: number): Promise<void> {
  let broken = 0;
  console.log("kind            tried accepted refused faults   slowest                        memory");
  for (const kind of values.kind) {
    const messages = new Map<string, string>();
    let [accepted, faults, megabytes] = [0, 0, 0];
    let slowest = { seconds: 0, asked: "" };
    let child = await startChild();
    const restart = async (): Promise<void> => {
      child.kill("SIGKILL");
      child = await startChild();
    };
    for (let index = 0; index < each; index++) {
      const answer = await ask(child, { kind, seed, index });
      const tell = (fault: string): void => {
        faults++;
        console.log(`!! --kind ${kind} --seed ${seed} --only ${index}  ${fault}`);
      };
      if (answer === undefined) {
        tell(`ended, or took more than ${PATIENCE_SECONDS} s`);
        await restart();
        continue;
      }
      const { outcome } = answer;
      if (outcome.accepted) accepted++;
      if (outcome.slowest.seconds > slowest.seconds) slowest = outcome.slowest;
      megabytes = Math.max(megabytes, answer.megabytes);
      outcome.faults.forEach(tell);
      // One sentence with other words in it is one message.
      for (const message of outcome.messages)
        messages.set(message.replaceAll(/"[^"]*"|\d+(\.\d+)?/g, "#"), message);
      if (answer.megabytes > MOST_MEGABYTES) {
        tell(`took ${Math.round(answer.megabytes)} MB`);
        await restart();
      }
    }
    child.kill("SIGKILL");
    broken += faults;
    const counts = [each, accepted, each - accepted, faults]
      .map((count) => String(count).padStart(7))
      .join(" ");
    console.log(
      `${kind.padEnd(12)} ${counts}  ${slowest.seconds.toFixed(1).padStart(5)} s ${slowest.asked.slice(0, 40).padEnd(40)} ${megabytes.toFixed(0)} MB`,
    );
    if (values.messages !== undefined) {
      mkdirSync(values.messages, { recursive: true });
      writeFileSync(join(values.messages, `${kind}.txt`), [...messages.values()].join("\n----\n"));
    }
  }
  process.exitCode = broken === 0 ? 0 : 1;
}
