import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { openTrace } from "../../lib/traces/index.js";
import { csvText, readAll, traceFile } from "./files.js";

describe("openTrace of a CSV file", () => {
  test.each([
    ["plain", "time [s],current [A],voltage [V]\n0,150,12\n0.001,151.5,12.25\n"],
    [
      "a byte order mark, semicolons, decimal commas, CRLF",
      "\ufefftime [s];current [A];voltage [V]\r\n0;150;12\r\n0,001;151,5;12,25\r\n",
    ],
    ["tabs and decimal commas", "t (s)\tI (A)\tU (V)\n0\t150\t12\n0,001\t151,5\t12,25\n"],
    [
      "units on a line of their own, after words about the logger",
      "Logger 7\nRate,1 kHz\n\nTime,I,U\n(s),(A),(V)\n0,150,12\n0.001,151.5,12.25\n",
    ],
    [
      "symbols and units after a slash, quoted cells, another order",
      '"U / V","time / ms","I / A"\n"12","0","150"\n"12.25","1","151.5"\n',
    ],
    [
      "other units and columns nobody asked for",
      "time [ms],flag,current [A],voltage [V],x\n0,7,150,12,9\n1,7,151.5,12.25,9\n",
    ],
    [
      "exponents, signs and blanks",
      "time [s], current [A], voltage [V]\n0, +1.5e2, 12\n 1e-3, 151.5 , +12.25\n",
    ],
  ])("reads %s", async (_, text) => {
    const { rows, end } = await readAll(traceFile(text));
    expect(rows).toEqual({ time: [0, 0.001], current: [150, 151.5], voltage: [12, 12.25] });
    expect(end).toEqual({ rows: 2, partial: false, findings: [] });
  });

  test("reads every number as the language does, whatever its length", async () => {
    const number = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
      fc.tuple(fc.integer(), fc.nat(999_999)).map(([whole, part]) => `${whole}.${part}`),
      fc.nat(9_999_999).map((value) => `.${value}`),
      fc.nat().map((value) => `${value}.`),
    );
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(number, number, number), { minLength: 1, maxLength: 20 }),
        async (lines) => {
          const { rows } = await readAll(
            traceFile(csvText("time [s],current [A],voltage [V]", [["0.5", "1", "2"], ...lines])),
          );
          expect([rows.time, rows.current, rows.voltage].map((list) => list!.slice(1))).toEqual(
            [0, 1, 2].map((cell) => lines.map((line) => Number(line[cell]))),
          );
        },
      ),
      { numRuns: 60 },
    );
  });

  test("counts time by the rate where there is no column of it, over rows set aside", async () => {
    const path = traceFile("current [A],voltage [V]\n150,12\n150\n151,12\n152,12\n");
    const { rows, end } = await readAll(path, { rate: 1000 });
    expect(rows.time).toEqual([0, 0.002, 0.003]);
    expect(end.findings[0]!.message).toMatch(
      /trace\.csv:3 \(row 2\): 1 cell where rows have 2, got "150"; 1 row of that kind set aside/,
    );
  });

  test("takes columns by name or number, scales and zeros as told", async () => {
    const path = traceFile("time [s],CH1 [V],CH2 [V]\n0,1.5,0.12\n0.1,1.6,0.13\n");
    const { rows } = await readAll(path, {
      columns: { current: "CH1", voltage: "3" },
      scales: { current: 100, voltage: 100 },
      zeros: { current: 5 },
    });
    expect(rows).toEqual({ time: [0, 0.1], current: [145, 155], voltage: [12, 13] });
  });

  test.each([
    [
      "no time",
      "current [A],voltage [V]\n1,2\n3,4\n",
      {},
      /no column is read as time; it has "current", "voltage": .*--column time=.*--rate/,
    ],
    [
      "no current",
      "time [s],CH1,voltage [V]\n1,2,3\n3,4,5\n",
      {},
      /no column is read as current; it has "time", "CH1", "voltage": say which with --column current=/,
    ],
    [
      "two currents",
      "time [s],current [A],I [A],voltage [V]\n1,2,3,4\n",
      {},
      /"current" \(column 2\) and "I" \(column 3\) both read as current/,
    ],
    [
      "a time without unit",
      "time,current,voltage\n1,2,3\n",
      {},
      /"time" has no unit, and time is recorded in several/,
    ],
    [
      "a unit of another kind",
      "time [s],current [V],voltage [V]\n1,2,3\n",
      {},
      /"current" is in "V", which is no unit of current/,
    ],
    [
      "a column that is not there",
      "time [s],a,b\n1,2,3\n",
      { columns: { current: "CH9" } },
      /has no column "CH9"; it has 1 \("time"\), 2 \("a"\), 3 \("b"\)/,
    ],
    ["words alone", "to be or not to be\n", {}, /no line of its first 64 KiB holds two numbers/],
    ["nothing", "", {}, /is empty/],
    ["UTF-16", "\ufeff", {}, /UTF-16; save it as UTF-8/],
  ])("refuses a file with %s", async (what, text, options, message) => {
    const path = traceFile(what === "UTF-16" ? Buffer.from(`${text}t\tu`, "utf16le") : text);
    await expect(openTrace(path, options)).rejects.toThrow(message);
  });

  test("takes what is not measured as such, and says where", async () => {
    const path = traceFile("time [s],current [A],voltage [V]\n0,150,12\n1,,12\n2,OL,12\n3,nan,\n4,150,12\n");
    const { rows, end } = await readAll(path);
    expect(rows.current).toEqual([150, Number.NaN, Number.NaN, Number.NaN, 150]);
    const told = end.findings.map(({ message }) => message.replace(/^\d+-/, ""));
    expect(told).toContain(
      'trace.csv:4 (row 3), "current": "OL" is no number; 1 cell of this column taken as not measured',
    );
    expect(told).toContain('trace.csv:3 (row 2), "current": not measured here and in 2 cells in all');
  });

  test("finds the header above rows that begin with what is not measured, and above times of day", async () => {
    const { rows } = await readAll(
      traceFile("time [s],current [A],voltage [V],oxygen [ppm]\n0,150,12,nan\n1,151,12,40\n"),
    );
    expect(rows.oxygen).toEqual([Number.NaN, 40]);
    const stamped =
      "time [s],current [A],voltage [V]\n2026-11-02 10:00:00.000,150,12\n2026-11-02 10:00:00.001,151,12\n";
    expect((await readAll(traceFile(stamped), { rate: 1000 })).rows).toMatchObject({
      time: [0, 0.001],
      current: [150, 151],
    });
    const { end } = await readAll(traceFile(stamped));
    expect(end.findings[0]!.advice).toMatch(/dates and times of day are not read: .*--rate/);
  });

  test("of a file cut off anywhere keeps every whole row before, and never half a number", async () => {
    const lines = Array.from({ length: 40 }, (_, i) => `${(i / 1000).toFixed(3)},${150 + i},${12}`);
    const text = `time [s],current [A],voltage [V]\n${lines.join("\n")}\n`;
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 60, max: text.length - 1 }), async (length) => {
        const { rows, end } = await readAll(traceFile(text.slice(0, length)));
        const whole = text.slice(0, length).split("\n").length - 2;
        expect(rows.current).toEqual(Array.from({ length: whole }, (_, i) => 150 + i));
        expect(end.rows).toBe(whole);
        const rest = text.slice(0, length).split("\n").at(-1)!;
        if (rest !== "") expect(end.findings[0]!.message).toContain(`(row ${whole + 1})`);
        if (rest !== "" && rest.split(",").length < 3) expect(end.partial).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  test("stops at damage that goes on, and says from where", async () => {
    const good = Array.from({ length: 100 }, (_, i) => `${i},150,12`).join("\n");
    const bad = Array.from({ length: 3000 }, () => "\u0001\u0002 x").join("\n");
    const { rows, end } = await readAll(traceFile(`time [s],current [A],voltage [V]\n${good}\n${bad}\n`));
    expect(rows.current).toHaveLength(100);
    expect(end.partial).toBe(true);
    expect(end.findings.map(({ code }) => code)).toEqual(["trace-damaged", "trace-row-set-aside"]);
    const zeros = await readAll(
      traceFile(
        Buffer.concat([Buffer.from(`time [s],current [A],voltage [V]\n${good}\n`), Buffer.alloc(3 << 20)]),
      ),
    );
    expect(zeros.rows.current).toHaveLength(100);
    expect(zeros.end).toMatchObject({ partial: true, rows: 100 });
  });

  test("hands over a long file in batches of one size, in the same arrays", async () => {
    const rows = 50_000;
    const path = traceFile(
      csvText(
        "time [ms],current [A],voltage [V]",
        Array.from({ length: rows }, (_, i) => [i, 100 + (i % 7), 12]),
      ),
    );
    const trace = await openTrace(path);
    const seen = new Set<Float64Array>();
    let next = 1;
    for (const { first, length, columns } of trace.batches()) {
      seen.add(columns.current!);
      expect(first).toBe(next);
      expect(columns.current!.length).toBeLessThanOrEqual(16_384);
      expect(columns.current![length - 1]).toBe(100 + ((first + length - 2) % 7));
      next += length;
    }
    expect(next).toBe(rows + 1);
    expect(seen.size).toBe(1);
  });
});
