import { createHash } from "node:crypto";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { hostname, uptime } from "node:os";
import { join } from "node:path";
import { describe, expect, test, vi } from "vitest";
import type { BenchReceipt, BenchRefusal } from "../../lib/bench/wire/index.js";
import { appendEntries, openStudy } from "../../lib/study/index.js";
import { bench, entriesOf, plannedStudy, requestFor, width } from "./bench.js";

const json = async <T>(answer: Response | Promise<Response>): Promise<T> =>
  (await (await answer).json()) as T;
const jpeg = (text: string): Blob => new Blob([text], { type: "image/jpeg" });

describe("a request", () => {
  test("is written once, however often and at how many programs it arrives", async () => {
    const study = plannedStudy();
    const before = entriesOf(study).length;
    const request = requestFor(study, "a-request-1", width("C041", 5.9));
    const [first, second] = [await bench(study), await bench(study)];
    const receipts = await Promise.all(
      [first, first, second, first, second].map((page) => json<BenchReceipt>(page.post(request))),
    );
    expect(receipts.map(({ repeated }) => repeated).filter((repeated) => !repeated)).toHaveLength(1);
    expect(new Set(receipts.map(({ entries }) => entries.join()))).toEqual(new Set([String(before + 1)]));
    const written = entriesOf(study).slice(before);
    expect(written).toMatchObject([
      { kind: "logged", coupon: "C041", request: "a-request-1", values: { bead_width: 5.9 } },
    ]);
    expect(openStudy(study.folder).integrity).toEqual(study.integrity);
  });

  test("of an incident brings the time it cost, and refuses one that is none", async () => {
    const study = plannedStudy();
    const page = await bench(study);
    const task = { kind: "incident", what: "wire_stuck", outcome: "resumed" } as const;
    const lostTime = { value: 15, unit: "min" } as const;
    await page.post(requestFor(study, "a-request-1", { ...task, lostTime }));
    expect(entriesOf(study).at(-1)).toMatchObject({ what: "wire_stuck", lostTime });
    const wrong = { ...task, lostTime: { value: "long", unit: "min" } } as never;
    expect((await page.post(requestFor(study, "a-request-2", wrong))).status).toBe(400);
  });

  test("of another study is refused", async () => {
    const [study, other] = [plannedStudy(), plannedStudy()];
    const before = entriesOf(study).length;
    const answer = await (await bench(study)).post(requestFor(other, "a-request-1", width("C041", 5.9)));
    expect([answer.status, (await json<BenchRefusal>(answer)).message]).toEqual([
      400,
      "this was kept for another study: serve that study's bench page here to send it",
    ]);
    expect(entriesOf(study)).toHaveLength(before);
  });

  test("made long before it arrives leaves a note that says when", async () => {
    const study = plannedStudy();
    const made = "2026-04-01T06:30:00.000Z";
    await (await bench(study)).post({ ...requestFor(study, "a-request-1", width("C041", 5.9)), made });
    expect(entriesOf(study).at(-1)).toMatchObject({ kind: "note", coupon: "C041", request: "a-request-1" });
    expect(JSON.stringify(entriesOf(study).at(-1))).toContain(made);
  });

  test.each([
    ["no JSON", "{"],
    ["a list", "[]"],
    ["no task", '{"id":"a-request-1","home":"x","made":"2026-04-01T08:00:00Z"}'],
    [
      "an unknown task",
      '{"id":"a-request-1","home":"x","made":"2026-04-01T08:00:00Z","task":{"kind":"constructor"}}',
    ],
    [
      "a field too many",
      '{"id":"a-request-1","home":"x","made":"2026-04-01T08:00:00Z","task":{"kind":"note","text":"a","seq":1}}',
    ],
    [
      "a name too short",
      '{"id":"a","home":"x","made":"2026-04-01T08:00:00Z","task":{"kind":"note","text":"a"}}',
    ],
    ["no time", '{"id":"a-request-1","home":"x","made":"soon","task":{"kind":"note","text":"a"}}'],
  ])("with %s is refused", async (_, text) => {
    const study = plannedStudy();
    const form = new FormData();
    form.set("request", text);
    const { app } = await bench(study);
    const answer = await app.request("http://localhost:7361/api/task", {
      method: "POST",
      body: form,
      headers: { host: "localhost:7361", origin: "http://localhost:7361" },
    });
    expect([answer.status, await answer.text()]).toEqual([
      400,
      expect.stringContaining("not a request of the bench page"),
    ]);
    expect(entriesOf(study)).toEqual(study.entries);
  });
});

describe("a body that is no form of the page", () => {
  test.each([
    ["JSON", "application/json", '{"kind":"note"}', 415],
    ["broken JSON", "application/json", "{bad", 415],
    ["a list", "application/json", "[null]", 415],
    ["10 MB of JSON", "application/json", `"${"x".repeat(10_000_000)}"`, 415],
    ["nothing named", "text/plain", "x", 415],
    ["no parts", "multipart/form-data; boundary=x", "{bad", 400],
    ["no boundary", "multipart/form-data", "{bad", 400],
  ])("(%s) is refused for good, in plain words, and nothing is written", async (_, type, body, status) => {
    const study = plannedStudy();
    const { app } = await bench(study);
    const terminal = vi.spyOn(console, "error").mockReturnValue();
    const answer = await app.request("http://localhost:7361/api/task", {
      method: "POST",
      body,
      headers: { host: "localhost:7361", origin: "http://localhost:7361", "content-type": type },
    });
    expect(terminal).not.toHaveBeenCalled();
    terminal.mockRestore();
    expect(answer.status).toBe(status);
    expect(await json<BenchRefusal>(answer)).toMatchObject({ later: false, faults: [] });
    expect(entriesOf(study)).toEqual(study.entries);
  });
});

describe("a body over the limit", () => {
  const boundary = "-------------------------a9b8c7d6e5f4a3b2";
  const path = "http://localhost:7361/api/task";
  const headers = {
    host: "localhost:7361",
    origin: "http://localhost:7361",
    "content-type": `multipart/form-data; boundary=${boundary}`,
  };
  /** A form with a request that could be written, and a photo of so many MB after it, piece by piece. */
  const streamed = (request: string, megabytes: number) => {
    const megabyte = "x".repeat(1_000_000);
    const pieces = [
      `--${boundary}\r\nContent-Disposition: form-data; name="request"\r\n\r\n${request}\r\n` +
        `--${boundary}\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\n`,
      ...Array.from({ length: megabytes }, () => megabyte),
      `\r\n--${boundary}--\r\n`,
    ];
    let sent = 0;
    const body = new ReadableStream<Uint8Array>({
      pull(controller) {
        if (sent === pieces.length) controller.close();
        else controller.enqueue(new TextEncoder().encode(pieces[sent++]));
      },
    });
    return { body, sent: () => sent };
  };

  test("is refused though its length is not told, before it is read to the end, and nothing is stored", async () => {
    const study = plannedStudy();
    const { app, post } = await bench(study);
    const request = requestFor(study, "a-request-1", width("C041", 5.9));
    const { body, sent } = streamed(JSON.stringify(request), 64);
    const answer = await app.request(
      new Request(path, { method: "POST", body, headers, duplex: "half" } as RequestInit),
    );
    expect(answer.status).toBe(413);
    expect(await json<BenchRefusal>(answer)).toEqual({
      message: "this is more than the bench takes at once",
      faults: [],
      later: false,
    });
    expect(sent()).toBeLessThan(32);
    expect(readdirSync(study.folder).sort()).toEqual(["attachments", "journal.jsonl", "study.json"]);
    expect(readdirSync(join(study.folder, "attachments"))).toEqual([]);
    expect(entriesOf(study)).toEqual(study.entries);
    // The request was refused, not spent: without the photo it is written.
    expect((await json<BenchReceipt>(await post(request))).repeated).toBe(false);
  });

  test("is refused by the length it tells, without a byte being read", async () => {
    const study = plannedStudy();
    const { app } = await bench(study);
    const { body, sent } = streamed("{}", 1);
    const told = { ...headers, "content-length": "1000000000000" };
    const answer = await app.request(
      new Request(path, { method: "POST", body, headers: told, duplex: "half" } as RequestInit),
    );
    expect([answer.status, sent()]).toEqual([413, expect.any(Number)]);
    expect(sent()).toBeLessThanOrEqual(1);
    expect(entriesOf(study)).toEqual(study.entries);
  });

  test("within it is taken, streamed or not", async () => {
    const study = plannedStudy();
    const { app } = await bench(study);
    const { body } = streamed(JSON.stringify(requestFor(study, "a-request-1", width("C041", 5.9))), 1);
    const answer = await app.request(
      new Request(path, { method: "POST", body, headers, duplex: "half" } as RequestInit),
    );
    expect(answer.status).toBe(200);
    expect(entriesOf(study).length).toBeGreaterThan(study.entries.length);
  });
});

describe("a value", () => {
  test("that the journal's checks refuse is told by its column, and nothing is written", async () => {
    const study = plannedStudy();
    const task = { ...width("C041", -5), readings: { bead_height: [2, -2] } };
    const answer = await (await bench(study)).post(requestFor(study, "a-request-1", task));
    const { faults, later } = await json<BenchRefusal>(answer);
    expect([answer.status, later]).toEqual([400, false]);
    expect(faults).toEqual([
      { column: "bead_width", message: "bead_width cannot be below 0, got -5; check the sign" },
      { column: "bead_height", message: "bead_height cannot be below 0, got -2; check the sign" },
    ]);
    expect(entriesOf(study)).toEqual(study.entries);
  });

  test("that the command line logged meanwhile is not overwritten", async () => {
    const study = plannedStudy();
    appendEntries(study, [{ kind: "logged", coupon: "C041", values: { bead_width: 5.7 } }]);
    const answer = await (await bench(study)).post(requestFor(study, "a-request-1", width("C041", 5.9)));
    expect(JSON.stringify(await answer.json())).toMatch(
      /C041 has bead_width = 5\.7 already .*log a correction/,
    );
  });

  test("that is odd is logged, and what is odd is said", async () => {
    const study = plannedStudy();
    const answer = await (await bench(study)).post(requestFor(study, "a-request-1", width("C041", 59)));
    const { warnings } = await json<BenchReceipt>(answer);
    expect(answer.status).toBe(200);
    expect(warnings).toEqual([
      { column: "bead_width", message: expect.stringContaining("ten times too high") },
    ]);
  });

  test("is corrected by an entry that says why", async () => {
    const study = plannedStudy();
    const page = await bench(study);
    await page.post(requestFor(study, "a-request-1", width("C041", 59)));
    const first = entriesOf(study).at(-1)!.seq;
    await page.post(
      requestFor(study, "a-request-2", {
        kind: "correction",
        coupon: "C041",
        reason: "mistyped",
        values: { bead_width: 5.9 },
        readings: {},
      }),
    );
    expect(entriesOf(study).at(-1)).toMatchObject({ kind: "corrected", entry: first, reason: "mistyped" });
    const undo = requestFor(study, "a-request-3", { kind: "undo", request: "a-request-2" });
    expect((await json<BenchRefusal>(page.post(undo))).message).toMatch(/correct the value once more/);
  });
});

describe("taking back", () => {
  test("voids what a request wrote, so that the coupon is planned again and may be logged anew", async () => {
    const study = plannedStudy();
    const page = await bench(study);
    await page.post(requestFor(study, "a-request-1", width("C041", 59)));
    await page.post(requestFor(study, "a-request-2", { kind: "undo", request: "a-request-1" }));
    const stateOf = (): string | undefined =>
      openStudy(study.folder).coupons.find(({ id }) => id === "C041")?.state;
    expect(entriesOf(study).at(-1)).toMatchObject({ kind: "voided", reason: "taken back at the bench" });
    expect(stateOf()).toBe("planned");
    expect((await page.post(requestFor(study, "a-request-3", width("C041", 5.9)))).status).toBe(200);
    expect(stateOf()).toBe("logged");
  });

  test("of what was never written is refused", async () => {
    const study = plannedStudy();
    const undo = requestFor(study, "a-request-2", { kind: "undo", request: "a-request-1" });
    const answer = await (await bench(study)).post(undo);
    expect([answer.status, (await json<BenchRefusal>(answer)).message]).toEqual([
      404,
      "what was to be taken back is not in the journal",
    ]);
  });
});

describe("a photo", () => {
  test("is kept with its SHA-256, in one piece with the entry it belongs to", async () => {
    const study = plannedStudy();
    const request = { ...requestFor(study, "a-request-1", width("C041", 5.9)), photoNote: "from above" };
    const page = await bench(study);
    for (let k = 0; k < 2; k++) await page.post(request, jpeg("a picture"));
    const [attached, logged] = entriesOf(study).slice(study.entries.length);
    expect(attached).toMatchObject({
      kind: "attached",
      coupon: "C041",
      note: "from above",
      sha256: createHash("sha256").update("a picture").digest("hex"),
      batchEnd: logged!.seq,
      request: "a-request-1",
    });
    const { file } = attached as { readonly file: string };
    expect(file).toMatch(/^C041-[a-z0-9]+\.jpg$/);
    expect(readFileSync(join(study.folder, "attachments", file), "utf8")).toBe("a picture");
    expect(entriesOf(study)).toHaveLength(study.entries.length + 2);
  });

  test("of another kind is refused, and one that comes with a refused value leaves no file behind", async () => {
    const study = plannedStudy();
    const page = await bench(study);
    const html = new Blob(["<script>"], { type: "text/html" });
    const first = await page.post(requestFor(study, "a-request-1", width("C041", 5.9)), html);
    expect([first.status, await first.text()]).toEqual([400, expect.stringContaining("JPEG, PNG or WebP")]);
    await page.post(requestFor(study, "a-request-2", width("C041", -5)), jpeg("a picture"));
    expect(readdirSync(join(study.folder, "attachments"))).toEqual([]);
    expect(entriesOf(study)).toEqual(study.entries);
  });

  test("that an entry holds stays where the same one comes again with a refused value", async () => {
    const study = plannedStudy();
    const page = await bench(study);
    await page.post(requestFor(study, "same-picture-1", width("C041", 5.9)), jpeg("a picture"));
    const kept = readdirSync(join(study.folder, "attachments"));
    expect(kept).toHaveLength(1);
    await page.post(requestFor(study, "same-picture-2", width("C041", -5)), jpeg("a picture"));
    expect(readdirSync(join(study.folder, "attachments"))).toEqual(kept);
  });

  test("beyond the size that is taken is refused", async () => {
    const study = plannedStudy();
    const large = new Blob([new Uint8Array(16_000_000)], { type: "image/jpeg" });
    const answer = await (await bench(study)).post(
      requestFor(study, "a-request-1", width("C041", 5.9)),
      large,
    );
    expect(answer.status).toBe(413);
    expect(entriesOf(study)).toEqual(study.entries);
  });
});

test("a journal held by another program is told as a matter of waiting", async () => {
  const study = plannedStudy();
  const holder = { pid: process.ppid, host: hostname(), uptime: uptime(), token: "other", time: "now" };
  writeFileSync(join(study.folder, "journal.lock"), JSON.stringify(holder));
  const answer = await (await bench(study)).post(requestFor(study, "a-request-1", width("C041", 5.9)));
  expect([answer.status, (await json<BenchRefusal>(answer)).later]).toEqual([503, true]);
});
