import { join } from "node:path";
import { homeOf } from "../../../lib/bench/day.js";
import type { RandomStream } from "../../../lib/numeric/index.js";
import { mutateBytes } from "../mutate/bytes.js";
import { mutateJson } from "../mutate/json.js";
import { chance, oddNumbers, oddWords, pick } from "../mutate/odd.js";
import { couponsText, machineText, photoHeads, readings, studyText } from "../seed-texts.js";
import type { Seeds } from "../seeds.js";
import { options, slow, soundLines } from "./sound-lines.js";
import type { Make } from "./study-kinds.js";

const HOST = "localhost:7361";

/** Requests of the page's kinds, before anything is done to them. */
const tasks: readonly object[] = [
  {
    kind: "coupon",
    coupon: "C13",
    values: { bead_width: 6, sound_bead: true, cup: "no_6" },
    readings: { bead_height: [1.9, 2] },
    units: { bead_width: "mm" },
    note: "x",
  },
  { kind: "coupon", coupon: "N7", values: { current: 140 }, readings: {} },
  { kind: "correction", coupon: "C1", reason: "misread", values: { bead_width: 6.2 }, readings: {} },
  {
    kind: "incident",
    what: "wire_stuck",
    outcome: "resumed",
    lostTime: { value: 3, unit: "min" },
    coupon: "C2",
    note: "x",
  },
  { kind: "change", what: "tungsten", before: "C13", note: "x" },
  { kind: "note", text: "looked", coupon: "C1" },
  { kind: "undo", entry: 3 },
  { kind: "undo", request: "12345678" },
  { kind: "photo", coupon: "C1", note: "x" },
];

const bodyOf = (content: string | Buffer): string | Uint8Array<ArrayBuffer> =>
  typeof content === "string" ? content : new Uint8Array(content);

function task(draw: RandomStream, { folder }: Seeds): Request {
  const sound = {
    id: `r-${draw.integer(0, 2 ** 31)}-0000`,
    home: homeOf(join(folder, "full")),
    made: "2026-04-01T07:00:00Z",
    task: pick(draw, tasks),
    photoNote: "p",
  };
  const plain = JSON.stringify(sound);
  const text = chance(draw, 0.1)
    ? plain
    : mutateJson(draw, plain, JSON.stringify({ task: pick(draw, tasks) }));
  const form = new FormData();
  form.set("request", String(text));
  if (chance(draw, 0.4)) {
    const bytes = new Uint8Array(mutateBytes(draw, pick(draw, photoHeads)));
    form.set(
      "photo",
      new Blob([bytes], {
        type: pick(draw, [
          "image/jpeg",
          "image/png",
          "image/webp",
          "text/html",
          "image/svg+xml",
          "__proto__",
          "",
        ]),
      }),
      pick(draw, oddWords).replaceAll(/[\ud800-\udfff]/g, ""),
    );
  }
  return new Request(`http://${HOST}/api/task`, {
    method: "POST",
    body: form,
    headers: { host: HOST, origin: `http://${HOST}` },
  });
}

/** A body that no page sends. */
function strange(draw: RandomStream): Request {
  const head = '--b\r\nContent-Disposition: form-data; name="request"\r\n\r\n{}\r\n--b--\r\n';
  const body = pick<() => string | Buffer>(draw, [
    () => mutateBytes(draw, Buffer.from(head)),
    () => head.replace("request", () => pick(draw, oddWords)),
    () => head.repeat(20),
    () => mutateJson(draw, JSON.stringify(tasks[0])),
    () => "x".repeat(200_000),
    () => "",
  ])();
  const type = pick(draw, [
    "multipart/form-data; boundary=b",
    "multipart/form-data",
    "application/json",
    "text/plain",
    "multipart/form-data; boundary=",
    "application/x-www-form-urlencoded",
  ]);
  return new Request(`http://${HOST}${pick(draw, ["/api/task", "/door", "/api/day"])}`, {
    method: "POST",
    body: bodyOf(body),
    headers: { host: HOST, origin: `http://${HOST}`, "content-type": type },
  });
}

function asked(draw: RandomStream): Request {
  const word = encodeURIComponent(pick(draw, oddWords).replaceAll(/[\ud800-\udfff]/g, ""));
  const path = pick(draw, [
    "/",
    "/files",
    "/api/day",
    "/api/standing",
    `/api/lesson/${word}`,
    "/api/lesson/C1",
    `/${word}`,
    "/app/../../package.json",
    "/app/%2e%2e/x",
    "/attachments/photo.png",
    "/api/lesson/%E0%A4%A",
  ]);
  return new Request(`http://${HOST}${path}`, {
    method: pick(draw, ["GET", "GET", "HEAD", "OPTIONS", "PUT", "DELETE"]),
    headers: { host: HOST, origin: `http://${HOST}` },
  });
}

const http: Make = (draw, seeds) => ({
  files: {},
  requests: Array.from({ length: 3 }, () =>
    pick(draw, [task, task, task, strange, asked])(draw, seeds),
  ).filter(
    // Both fit the outcome model, which takes seconds.
    ({ url }) => !/standing|lesson\/C1$|\/api\/day/.test(url) || chance(draw, 0.03),
  ),
});

const argued = (draw: RandomStream): string =>
  pick(draw, [
    () => pick(draw, oddWords),
    () => pick(draw, oddWords),
    () => pick(draw, oddNumbers),
    () => `${pick(draw, oddNumbers)} ${pick(draw, ["mm", "A", "min", "EUR", "%", "L/min"])}`,
    () =>
      `${pick(draw, ["current", "bead_width", "x", "__proto__"])}=${pick(draw, [...oddWords, ...oddNumbers])}`,
    () => pick(draw, options),
    () => pick(draw, pick(draw, soundLines)),
  ])()
    // No command line holds a NUL, nor half a character.
    .replaceAll(/[\0\ud800-\udfff]/g, "");

function mutateLine(draw: RandomStream, line: readonly string[]): readonly string[] {
  const at = draw.integer(1, Math.max(1, line.length - 1));
  return pick<() => readonly string[]>(draw, [
    () => line.map((word, i) => (i === at ? argued(draw) : word)),
    () => line.map((word, i) => (i === at ? argued(draw) : word)),
    () => [...line.slice(0, at), argued(draw), ...line.slice(at)],
    () => [...line, pick(draw, options), argued(draw)],
    () => line.filter((_, i) => i !== at),
    () => [...line.slice(0, at), ...draw.shuffle(line.slice(at))],
    () =>
      line.map((word, i) => (i === at ? word.replace(/\d+(\.\d+)?/, () => pick(draw, oddNumbers)) : word)),
    () => [pick(draw, soundLines)[0]!, ...line.slice(1)],
  ])();
}

const words: Make = (draw, seeds) => {
  let line = chance(draw, 0.02) ? pick(draw, slow) : pick(draw, soundLines);
  for (let i = 0; i === 0 || (i < 4 && chance(draw, 0.35)); i++) line = mutateLine(draw, line);
  const tables = Object.fromEntries(
    Object.entries(readings).map(([command, { text }]) => [`${command}.csv`, text]),
  );
  return {
    files: {
      ...tables,
      "preset.json": seeds.preset,
      "machine.json": machineText,
      "r.csv": couponsText,
      "d.json": studyText,
      "share.json": seeds.shared,
      "arc.csv": "time [ms],current [A],voltage [V]\n0,0,0\n1,150,12\n2,150,12\n3,0,0\n",
    },
    // The page is served until somebody stops it, and the demo is long.
    lines: /^(?:bench|demo)$/.test(line[0] ?? "") ? [["status", "full"]] : [line],
  };
};

export const askedKinds = { http, words } satisfies Record<string, Make>;
