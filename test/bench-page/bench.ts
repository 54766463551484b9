import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Hono } from "hono";
import { answersHere } from "../../lib/bench/answers.js";
import { makeApp } from "../../lib/bench/app.js";
import { homeOf } from "../../lib/bench/day.js";
import { type Door, ownNames } from "../../lib/bench/guard.js";
import type { BenchRequest, BenchTask } from "../../lib/bench/wire/index.js";
import { appendEntries, createDemoStudy, type Entry, openStudy, type Study } from "../../lib/study/index.js";

/** The time at which everything here happens. */
export const NOW = new Date("2026-04-01T08:00:00Z");
const HOST = "localhost:7361";

/** The demo study with four coupons planned, C041 to C044. */
export function plannedStudy(): Study {
  const study = createDemoStudy(join(mkdtempSync(join(tmpdir(), "bench-")), "study"));
  const settings = study.coupons.find(({ id }) => id === "C040")!.settings;
  return appendEntries(
    study,
    Array.from({ length: 4 }, () => ({ kind: "planned" as const, values: settings })),
    { clock: () => NOW },
  );
}

export const entriesOf = (study: Study): readonly Entry[] => openStudy(study.folder).entries;

/** A bench page to be asked without a network. */
export interface Bench {
  readonly app: Hono;
  get(path: string, headers?: Readonly<Record<string, string>>): Promise<Response>;
  post(request: BenchRequest, photo?: Blob, headers?: Readonly<Record<string, string>>): Promise<Response>;
}

export async function bench(study: Study, door?: Door): Promise<Bench> {
  const app = await makeApp({
    answers: answersHere(study.folder),
    folder: study.folder,
    clock: () => NOW,
    files: { scripts: new Map(), worker: "" },
    names: ownNames("localhost"),
    ...(door === undefined ? {} : { door }),
  });
  return {
    app,
    get: async (path, headers = {}) =>
      app.request(`http://${HOST}${path}`, { headers: { host: HOST, ...headers } }),
    post: async (request, photo, headers = {}) => {
      const form = new FormData();
      form.set("request", JSON.stringify(request));
      if (photo !== undefined) form.set("photo", photo);
      return app.request(`http://${HOST}/api/task`, {
        method: "POST",
        body: form,
        headers: { host: HOST, origin: `http://${HOST}`, ...headers },
      });
    },
  };
}

/** A request of the page for a study. */
export function requestFor(study: Study, id: string, task: BenchTask): BenchRequest {
  return { id, home: homeOf(study.folder), made: NOW.toISOString(), task };
}

/** A task that logs one width of a coupon. */
export const width = (coupon: string, value: number): BenchTask => ({
  kind: "coupon",
  coupon,
  values: { bead_width: value },
  readings: {},
});
