import type { Context, Hono } from "hono";
import { BeadbenchError } from "../errors/index.js";
import type { Answers } from "./answers.js";
import { type Door, whyStrange } from "./guard.js";
import type { PageFiles } from "./page-files.js";
import { MOST_REQUEST_BYTES, readForm, readPhoto, readRequest } from "./read-request.js";
import { type Desk, recordTask, refusalFrom } from "./record-task.js";
import { doorPage, icon, shellPage } from "./shell.js";
import { benchStyle } from "./style/index.js";

/** What the page is served with. */
export interface BenchParts extends Desk {
  readonly answers: Answers;
  readonly files: PageFiles;
  /** Host names it answers under. */
  readonly names: ReadonlySet<string>;
  /** Absent where only this machine reaches it. */
  readonly door?: Door;
}

/** Nothing may be fetched from elsewhere, and no script or style runs but the page's own files. */
const policy = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob:",
  "connect-src 'self'",
  "worker-src 'self'",
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join("; ");

const COOKIE = "bench_key";

/** The routes of the bench page. */
export async function makeApp(parts: BenchParts): Promise<Hono> {
  const [{ Hono }, { bodyLimit }, { getCookie, setCookie }] = await Promise.all([
    import("hono"),
    import("hono/body-limit"),
    import("hono/cookie"),
  ]);
  const { answers, clock, files, names, door } = parts;
  const app = new Hono();

  app.use(async (c, next) => {
    const strange = whyStrange(
      {
        method: c.req.method,
        host: c.req.header("host"),
        origin: c.req.header("origin"),
        site: c.req.header("sec-fetch-site"),
      },
      names,
    );
    if (strange !== undefined) return c.text(`${strange}\n`, 403);
    await next();
    c.header("Content-Security-Policy", policy);
    c.header("X-Content-Type-Options", "nosniff");
    // Not "no-referrer": browsers then hide the origin of the door's form as well.
    c.header("Referrer-Policy", "same-origin");
    c.header("Cross-Origin-Resource-Policy", "same-origin");
    c.header("Cache-Control", "no-store");
    return undefined;
  });
  app.use(
    bodyLimit({
      maxSize: MOST_REQUEST_BYTES,
      onError: (c) =>
        c.json({ message: "this is more than the bench takes at once", faults: [], later: false }, 413),
    }),
  );

  app.get("/bench.css", (c) => typed(c, "text/css", benchStyle));
  app.get("/icon.svg", (c) => typed(c, "image/svg+xml", icon));
  if (door !== undefined) {
    app.get("/door", (c) => c.html(doorPage(false)));
    app.post("/door", async (c) => {
      const key = door.open(String((await readForm(c.req)).get("code")));
      if (key === undefined) return c.html(doorPage(true), 401);
      setCookie(c, COOKIE, key, { httpOnly: true, sameSite: "Strict", path: "/" });
      return c.redirect("/", 303);
    });
    app.use(async (c, next) => {
      if (door.knows(getCookie(c, COOKIE))) return next();
      if (c.req.path === "/") return c.redirect("/door", 303);
      return c.json(
        { message: "the code shown in the terminal is wanted first", faults: [], later: true },
        401,
      );
    });
  }

  app.get("/", (c) => c.html(shellPage));
  app.get("/worker.js", (c) => typed(c, "text/javascript", files.worker));
  app.get("/files", (c) => c.json(["/", "/bench.css", "/icon.svg", ...files.scripts.keys()]));
  for (const [path, script] of files.scripts) app.get(path, (c) => typed(c, "text/javascript", script));

  app.get("/api/day", async (c) => c.json(await answers({ about: "day", now: clock() })));
  app.get("/api/standing", async (c) => c.json(await answers({ about: "standing" })));
  app.get("/api/lesson/:coupon", async (c) =>
    c.json(await answers({ about: "lesson", coupon: c.req.param("coupon") })),
  );
  app.post("/api/task", async (c) => {
    if (!/^multipart\/form-data\b/i.test(c.req.header("content-type") ?? ""))
      return c.json(
        {
          message:
            "the bench takes its own page's form (multipart/form-data) and nothing else; reload the page",
          faults: [],
          later: false,
        },
        415,
      );
    const form = await readForm(c.req);
    const request = readRequest(String(form.get("request")));
    return c.json(recordTask(parts, request, await readPhoto(form.get("photo"))));
  });

  app.onError((error, c) => {
    if (error instanceof BeadbenchError)
      return c.json(
        refusalFrom(error),
        error.code === "locked" ? 503 : error.code === "not-found" ? 404 : 400,
      );
    console.error(error);
    return c.json(
      { message: "the bench has a fault of its own; see the terminal", faults: [], later: true },
      500,
    );
  });
  return app;
}

function typed(c: Context, type: string, body: string): Response {
  return c.body(body, 200, { "Content-Type": `${type}; charset=utf-8` });
}
