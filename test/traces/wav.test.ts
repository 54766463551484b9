import { describe, expect, test } from "vitest";
import { openTrace } from "../../lib/traces/index.js";
import { readAll, traceFile } from "./files.js";

interface WavOptions {
  readonly kind: number;
  readonly bits: number;
  readonly rate?: number;
  /** What the header says of the length of the samples. */
  readonly said?: number;
  /** A chunk before the samples, of odd length. */
  readonly remark?: boolean;
}

/** A WAV file by the published layout, written apart from the reader. */
function wav(
  frames: readonly (readonly [number, number])[],
  { kind, bits, rate = 48_000, said, remark }: WavOptions,
): Buffer {
  const width = bits / 8;
  const body = Buffer.alloc(frames.length * 2 * width);
  frames.flat().forEach((value, i) => {
    const at = i * width;
    if (kind === 3) bits === 32 ? body.writeFloatLE(value, at) : body.writeDoubleLE(value, at);
    else if (bits === 8) body.writeUInt8(Math.round(value * 128) + 128, at);
    else body.writeIntLE(Math.round(value * 2 ** (bits - 1)), at, width);
  });
  const fmt = Buffer.alloc(24);
  fmt.write("fmt ");
  fmt.writeUInt32LE(16, 4);
  fmt.writeUInt16LE(kind, 8);
  fmt.writeUInt16LE(2, 10);
  fmt.writeUInt32LE(rate, 12);
  fmt.writeUInt32LE(rate * 2 * width, 16);
  fmt.writeUInt16LE(2 * width, 20);
  fmt.writeUInt16LE(bits, 22);
  const list = remark === true ? Buffer.from("LIST\u0003\0\0\0abc\0", "latin1") : Buffer.alloc(0);
  const data = Buffer.alloc(8);
  data.write("data");
  data.writeUInt32LE(said ?? body.length, 4);
  const riff = Buffer.alloc(12);
  riff.write("RIFF");
  riff.writeUInt32LE(4 + fmt.length + list.length + 8 + body.length, 4);
  riff.write("WAVE", 8);
  return Buffer.concat([riff, fmt, list, data, body]);
}

const scales = { current: 500, voltage: 50 };
const frames = [
  [0.5, 0.25],
  [-0.25, -0.5],
  [0, 0.125],
] as const;
const expected = { time: [0, 1 / 48_000, 2 / 48_000], current: [250, -125, 0], voltage: [12.5, -25, 6.25] };

describe("openTrace of a WAV file", () => {
  test.each([
    [1, 8],
    [1, 16],
    [1, 24],
    [1, 32],
    [3, 32],
    [3, 64],
  ])("reads samples of format %i with %i bits", async (kind, bits) => {
    const { rows, end } = await readAll(traceFile(wav(frames, { kind, bits, remark: true }), "trace.wav"), {
      scales,
    });
    expect(rows).toEqual(expected);
    expect(end).toEqual({ rows: 3, partial: false, findings: [] });
  });

  test("takes channels as told", async () => {
    const { rows } = await readAll(traceFile(wav(frames, { kind: 1, bits: 16 })), {
      scales,
      columns: { current: "2", voltage: "1" },
    });
    expect(rows.current).toEqual([125, -250, 62.5]);
  });

  test.each([
    ["says nothing", 0, "trace-length-unsaid", false],
    ["was never finished", 0xffffffff, "trace-length-unsaid", false],
    ["claims more than there is", 4000, "trace-cut-off", true],
  ])("reads to the end of a file whose header %s of its length", async (_, said, code, partial) => {
    const { rows, end } = await readAll(traceFile(wav(frames, { kind: 1, bits: 16, said })), { scales });
    expect(rows.current).toEqual(expected.current);
    expect(end).toMatchObject({ partial, findings: [{ code }] });
  });

  test("drops the half of a frame that a torn file ends with", async () => {
    const whole = wav(frames, { kind: 1, bits: 24 });
    const { rows, end } = await readAll(traceFile(whole.subarray(0, whole.length - 4)), { scales });
    expect(rows.current).toEqual([250, -125]);
    expect(end).toMatchObject({ rows: 2, partial: true });
    expect(end.findings[0]!.message).toMatch(/\(row 3\): the header says 3 rows, the file ends after 2/);
  });

  test("refuses what it cannot scale or read", async () => {
    await expect(openTrace(traceFile(wav(frames, { kind: 1, bits: 16 })))).rejects.toThrow(
      /full scale of current.*--scale current="500 A"/,
    );
    await expect(openTrace(traceFile(wav(frames, { kind: 7, bits: 8 })), { scales })).rejects.toThrow(
      /8-bit samples of format 7/,
    );
    await expect(
      openTrace(traceFile(wav(frames, { kind: 1, bits: 16 })), { scales, columns: { voltage: "3" } }),
    ).rejects.toThrow(/has 2 channels, and voltage is looked for in 3/);
    await expect(
      openTrace(traceFile(wav(frames, { kind: 1, bits: 16 }).subarray(0, 40)), { scales }),
    ).rejects.toThrow(/no samples|ends within its header/);
  });
});
