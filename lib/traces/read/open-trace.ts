import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { basename } from "node:path";
import { BeadbenchError, requireNumber } from "../../errors/index.js";
import { openCsv } from "./csv.js";
import { HEAD_BYTES } from "./csv-layout.js";
import type { TraceFile, TraceOptions } from "./trace.js";
import { openWav } from "./wav.js";

/**
 * Opens a trace of time, current and voltage, and of feed, gas, oxygen and temperature where it has them. The kind of
 * file is told from its first bytes: Parquet, WAV, else CSV. Rows are read when asked for, {@link TraceFile.batches}.
 *
 * @param path - the file
 * @param options - what the file does not say: columns, scales, zeros, rate
 * @throws {BeadbenchError} `not-found` without the file; `bad-file` where columns, units or the kind cannot be told
 */
export async function openTrace(path: string, options: TraceOptions = {}): Promise<TraceFile> {
  if (options.rate !== undefined) requireNumber("rate", options.rate, { above: 0, unit: "Hz" });
  const file = basename(path);
  const head = headOf(path);
  const word = (at: number): string => Buffer.from(head.subarray(at, at + 4)).toString("latin1");
  if (word(0) === "PAR1") {
    // Its packages load for such files alone.
    const { openParquet } = await import("./parquet.js");
    return openParquet({ path, file }, options);
  }
  if (["RIFF", "RF64"].includes(word(0)) && word(8) === "WAVE") return openWav({ path, file }, options);
  if (head.length === 0) throw new BeadbenchError("bad-file", `${file} is empty`);
  return openCsv({ path, file, head }, options);
}

function headOf(path: string): Uint8Array {
  try {
    const handle = openSync(path, "r");
    try {
      if (!fstatSync(handle).isFile()) throw new Error("it is no file");
      const bytes = new Uint8Array(HEAD_BYTES);
      return bytes.subarray(0, readSync(handle, bytes, 0, HEAD_BYTES, 0));
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    throw new BeadbenchError("not-found", `cannot read ${path}: ${(error as Error).message}`);
  }
}
