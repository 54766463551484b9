import { describe, expect, test } from "vitest";
import { isLoopback, makeDoor, ownNames } from "../../lib/bench/guard.js";
import { bench, entriesOf, plannedStudy, requestFor, width } from "./bench.js";

let now = Date.parse("2026-04-01T08:00:00Z");
const clock = (): Date => new Date(now);

describe("a page that is not the bench's own", () => {
  test.each(["evil.example", "evil.example:7361", "localhost.evil.example:7361", "10.0.0.1:7361"])(
    "asked for under the name %s is not answered",
    async (host) => {
      const page = await bench(plannedStudy());
      const answer = await page.get("/api/day", { host });
      expect([answer.status, await answer.text()]).toEqual([
        403,
        expect.stringContaining("not served under this name"),
      ]);
    },
  );

  test.each([
    ["another origin", { origin: "http://evil.example" }],
    ["no origin", { origin: "" }],
    ["a hidden origin", { origin: "null" }],
    ["another port", { origin: "http://localhost:8000" }],
    ["another scheme", { origin: "https://localhost:7361" }],
    ["what the browser calls another site", { "sec-fetch-site": "cross-site" }],
  ])("with %s writes nothing", async (_, headers) => {
    const study = plannedStudy();
    const answer = await (await bench(study)).post(
      requestFor(study, "a-request-1", width("C041", 5.9)),
      undefined,
      headers,
    );
    expect(answer.status).toBe(403);
    expect(entriesOf(study)).toEqual(study.entries);
  });
});

test("the page lets no script, style or picture in but its own", async () => {
  const page = await bench(plannedStudy());
  const answer = await page.get("/");
  const policy = answer.headers.get("content-security-policy") ?? "";
  expect(policy).toContain("default-src 'none'; script-src 'self'; style-src 'self'");
  expect(policy).not.toMatch(/unsafe|\*|https?:/);
  expect(answer.headers.get("x-content-type-options")).toBe("nosniff");
  expect(await answer.text()).not.toMatch(/<script(?![^>]*src)|<style|\son\w+=|https?:\/\//);
});

test("only what is served is served", async () => {
  const page = await bench(plannedStudy());
  for (const path of [
    "/study.json",
    "/app/../study.json",
    "/app/%2e%2e/package.json",
    "/journal.jsonl",
    "/attachments/",
  ])
    expect((await page.get(path)).status).toBe(404);
});

describe("the door for others on the network", () => {
  const cookieOf = (answer: Response): string => (answer.headers.get("set-cookie") ?? "").split(";")[0]!;
  const knock = async (page: Awaited<ReturnType<typeof bench>>, code: string): Promise<Response> =>
    page.app.request("http://localhost:7361/door", {
      method: "POST",
      body: new URLSearchParams({ code }),
      headers: {
        host: "localhost:7361",
        origin: "http://localhost:7361",
        "content-type": "application/x-www-form-urlencoded",
      },
    });

  test("shows nothing of the study without its code", async () => {
    const study = plannedStudy();
    const page = await bench(
      study,
      makeDoor(() => undefined, clock),
    );
    expect((await page.get("/api/day")).status).toBe(401);
    expect((await page.post(requestFor(study, "a-request-1", width("C041", 5.9)))).status).toBe(401);
    const start = await page.get("/");
    expect([start.status, start.headers.get("location")]).toEqual([303, "/door"]);
    expect(entriesOf(study)).toEqual(study.entries);
  });

  test("lets one device in per code, by a cookie that no script reads and no other site sends", async () => {
    const codes: string[] = [];
    const page = await bench(
      plannedStudy(),
      makeDoor((code) => codes.push(code), clock),
    );
    expect(codes[0]).toMatch(/^\d{8}$/);
    const let1 = await knock(page, `${codes[0]!.slice(0, 4)} ${codes[0]!.slice(4)}`);
    expect(let1.status).toBe(303);
    expect(let1.headers.get("set-cookie")).toMatch(/HttpOnly; SameSite=Strict/);
    expect((await page.get("/api/day", { cookie: cookieOf(let1) })).status).toBe(200);
    expect((await knock(page, codes[0]!)).status).toBe(401);
    expect((await knock(page, codes[1]!)).status).toBe(303);
    expect(codes[1]).not.toBe(codes[0]);
  });

  test("makes another code after five wrong ones", async () => {
    const codes: string[] = [];
    const door = makeDoor((code) => codes.push(code), clock);
    const wrong = codes[0] === "00000000" ? "00000001" : "00000000";
    for (let k = 0; k < 5; k++) expect(door.open(wrong)).toBeUndefined();
    expect(codes).toHaveLength(2);
    expect(door.open(codes[0]!)).toBeUndefined();
    // For a minute the right one opens nothing either, so that codes cannot be tried by the thousand.
    expect(door.open(codes[1]!)).toBeUndefined();
    now += 60_000;
    expect(door.knows(door.open(codes[1]!))).toBe(true);
  });
});

test("only this machine's own addresses need no code", () => {
  expect(["localhost", "127.0.0.1", "::1", "0.0.0.0", "192.168.1.20", "::"].map(isLoopback)).toEqual([
    true,
    true,
    true,
    false,
    false,
    false,
  ]);
  expect(ownNames("192.168.1.20").has("192.168.1.20")).toBe(true);
  expect(ownNames("localhost").has("192.168.1.20")).toBe(false);
});
