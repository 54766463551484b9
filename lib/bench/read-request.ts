import { BeadbenchError, isNestedTooDeep, ownValue } from "../errors/index.js";
import { photoTypes, type SentPhoto } from "./record-task.js";
import type { BenchRequest, BenchTask } from "./wire/index.js";

/** Most bytes of a picture, and of everything else that comes with it. */
export const MOST_PHOTO_BYTES = 15_000_000;
export const MOST_REQUEST_BYTES = MOST_PHOTO_BYTES + 200_000;

/** Letters and digits of a request's name; a random UUID fits. */
const ID = /^[A-Za-z0-9-]{8,64}$/;

type Check = (value: unknown) => boolean;
const text: Check = (value) => typeof value === "string" && value.trim() !== "" && value.length <= 2000;
const whole: Check = (value) => Number.isSafeInteger(value) && Number(value) > 0;
/** The journal's checks look at what is inside. */
const record: Check = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const maybe =
  (check: Check): Check =>
  (value) =>
    value === undefined || check(value);

const values = { values: record, readings: record, units: maybe(record) };

/** The fields of every kind of task; no other is taken. */
const fields: { readonly [K in BenchTask["kind"]]: Readonly<Record<string, Check>> } = {
  coupon: { coupon: text, note: maybe(text), ...values },
  correction: { coupon: text, reason: text, ...values },
  incident: { what: text, outcome: text, lostTime: maybe(record), coupon: maybe(text), note: maybe(text) },
  change: { what: text, before: maybe(text), note: maybe(text) },
  note: { text, coupon: maybe(text) },
  undo: { request: maybe(text), entry: maybe(whole) },
  photo: { coupon: maybe(text), note: maybe(text) },
};

/**
 * Reads the form that a page posted.
 *
 * @throws {BeadbenchError} `bad-argument` for a body that is no form: sent again it would be none either
 */
export async function readForm(sent: Pick<Request, "formData">): Promise<FormData> {
  try {
    return await sent.formData();
  } catch {
    throw new BeadbenchError("bad-argument", "what was sent cannot be read as a form; reload the page");
  }
}

/**
 * Reads a request that a page posted; what its values must be is left to the journal's checks.
 *
 * @throws {BeadbenchError} `bad-argument` for anything but a request of the page
 */
export function readRequest(sent: string): BenchRequest {
  const found = parsed(sent);
  const { id, home, made, task, photoNote } = found as Partial<BenchRequest>;
  const isTask =
    record(task) &&
    Object.hasOwn(fields, String(task?.kind)) &&
    Object.entries({ ...fields[task!.kind], kind: text }).every(([name, check]) =>
      check(Reflect.get(task!, name)),
    ) &&
    Object.keys(task!).every((name) => name === "kind" || Object.hasOwn(fields[task!.kind], name));
  if (
    typeof id !== "string" ||
    !ID.test(id) ||
    !text(home) ||
    !maybe(text)(photoNote) ||
    Number.isNaN(Date.parse(String(made))) ||
    !isTask
  )
    throw new BeadbenchError("bad-argument", "this is not a request of the bench page; reload the page");
  return found as BenchRequest;
}

function parsed(sent: string): object {
  if (isNestedTooDeep(sent)) return {};
  try {
    const found: unknown = JSON.parse(sent);
    return record(found) ? (found as object) : {};
  } catch {
    return {};
  }
}

/**
 * Reads the picture that came with a request.
 *
 * @throws {BeadbenchError} `bad-file` for another kind of file, or one too large
 */
export async function readPhoto(file: Blob | string | null): Promise<SentPhoto | undefined> {
  if (file === null) return undefined;
  const extension = typeof file === "string" ? undefined : ownValue(photoTypes, file.type);
  if (typeof file === "string" || extension === undefined)
    throw new BeadbenchError("bad-file", "a photo must be a JPEG, PNG or WebP picture");
  if (file.size > MOST_PHOTO_BYTES)
    throw new BeadbenchError(
      "bad-file",
      `the photo has ${Math.ceil(file.size / 1e6)} MB, at most ${MOST_PHOTO_BYTES / 1e6} MB are kept; take it smaller`,
    );
  return { bytes: new Uint8Array(await file.arrayBuffer()), extension };
}
