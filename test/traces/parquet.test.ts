import { readFileSync } from "node:fs";
import { DuckDBInstance } from "@duckdb/node-api";
import { describe, expect, test } from "vitest";
import { openTrace } from "../../lib/traces/index.js";
import { freePath, readAll, traceFile } from "./files.js";

/** Files come from a columnar engine, which shares nothing with the reader under test. */
async function parquet(select: string, options = ""): Promise<string> {
  const path = freePath("trace.parquet");
  const instance = await DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  await connection.run(`copy (${select}) to '${path}' (format parquet${options})`);
  connection.closeSync();
  instance.closeSync();
  return path;
}

const ROWS = 12_000;
const from = `from range(${ROWS}) r(n)`;
const select = `select n / 10000.0::double as "time [s]", 150 + (n % 977) / 7.0::double as "current [A]", 12 + sin(n)::double as "voltage [V]" ${from}`;
const expected = (n: number): readonly [number, number, number] => [
  n / 10_000,
  150 + (n % 977) / 7,
  12 + Math.sin(n),
];

async function holds(path: string): Promise<void> {
  const { rows, end } = await readAll(path);
  expect(end).toEqual({ rows: ROWS, partial: false, findings: [] });
  const wrong = rows.time!.filter((time, n) => {
    const [t, i, u] = expected(n);
    return !(
      Math.abs(time - t) < 1e-12 &&
      Math.abs(rows.current![n]! - i) < 1e-10 &&
      Math.abs(rows.voltage![n]! - u) < 1e-10
    );
  });
  expect(wrong).toEqual([]);
}

describe("openTrace of a Parquet file", () => {
  test.each(["uncompressed", "snappy", "gzip", "zstd", "lz4_raw", "brotli"])(
    "reads one packed by %s",
    async (codec) => {
      await holds(await parquet(select, `, compression ${codec}, row_group_size 4096`));
    },
  );

  test("reads pages of the second version and their encodings", async () => {
    await holds(await parquet(select, ", parquet_version v2, row_group_size 5000"));
  });

  test("reads floats, whole numbers, decimals, time stamps, and what was not measured", async () => {
    const path =
      await parquet(`select make_timestamp(1764313200000000 + n * 100) as time, (n % 300)::integer as "current [A]",
      (10 + (n % 40) / 10.0)::decimal(8,3) as "voltage [V]", (if(n % 3 = 0, null, n % 5))::float as "oxygen [ppm]",
      (n % 11)::bigint as "feed [mm/s]", 'text' as remark, [1, 2] as list ${from}`);
    const { rows } = await readAll(path);
    const { time, current, voltage, oxygen, feed } = rows;
    expect(time!.slice(0, 3)).toEqual([0, 1e-4, 2e-4].map((t) => expect.closeTo(t, 12)));
    expect(current!.slice(298, 302)).toEqual([298, 299, 0, 1]);
    expect(voltage!.slice(9, 12)).toEqual([10.9, 11, 11.1]);
    expect(oxygen!.slice(0, 5)).toEqual([Number.NaN, 1, 2, Number.NaN, 4]);
    expect(feed!.slice(9, 13)).toEqual([9, 10, 0, 1]);
  });

  test("of a damaged file keeps the rows before the damage and names the first that is lost", async () => {
    const path = await parquet(select, ", compression zstd, row_group_size 4096");
    const bytes = readFileSync(path);
    bytes.fill(0xff, Math.floor(bytes.length * 0.6), Math.floor(bytes.length * 0.62));
    const { rows, end } = await readAll(traceFile(bytes, "trace.parquet"));
    expect(end.partial).toBe(true);
    expect(end.rows % 4096).toBe(0);
    expect(end.rows).toBeGreaterThan(ROWS / 3);
    expect(rows.time).toHaveLength(end.rows);
    expect(rows.time!.every((time, n) => Math.abs(time - n / 10_000) < 1e-12)).toBe(true);
    expect(end.findings[0]!.message).toContain(`(row ${end.rows + 1}): damaged from here on`);
  });

  test("refuses a file without its end, and one without a current", async () => {
    const bytes = readFileSync(await parquet(select));
    await expect(openTrace(traceFile(bytes.subarray(0, bytes.length / 2), "a.parquet"))).rejects.toThrow(
      /the end of the file is missing, where Parquet keeps its table of contents/,
    );
    await expect(openTrace(await parquet(`select n as "time [s]", n as x ${from}`))).rejects.toThrow(
      /no column is read as current/,
    );
  });

  test("never fails but by an error that names the file, whatever byte is wrong", async () => {
    const whole = readFileSync(await parquet(`${select} limit 3000`, ", row_group_size 2048"));
    // Most closely in the table of contents, which ends the file.
    const step = Math.ceil(whole.length / 80);
    for (let at = 4; at < whole.length; at += at < whole.length - 400 ? step : 5) {
      const bytes = Buffer.from(whole);
      bytes[at] = bytes[at]! ^ 0x55;
      const path = traceFile(bytes, "hurt.parquet");
      const outcome = await readAll(path).then(
        ({ end }) => end.rows <= 3000,
        ({ message }: Error) => /hurt\.parquet/.test(message) && !/undefined|is not a function/.test(message),
      );
      expect(outcome, `byte ${at}`).toBe(true);
    }
  });
});
