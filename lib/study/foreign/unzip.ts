import { inflateRawSync } from "node:zlib";
import { BeadbenchError } from "../../errors/index.js";

/** Bytes that all parts of a file may unpack to: a few packed kilobytes can say gigabytes. */
export const MOST_UNPACKED = 100_000_000;
const MOST_PARTS = 5000;

const END = 0x06054b50;
const CENTRAL = 0x02014b50;
const LOCAL = 0x04034b50;

interface Part {
  readonly method: number;
  readonly packed: number;
  readonly offset: number;
}

/** The parts of a ZIP file, unpacked when asked for. */
export interface Unzipped {
  /** The part's bytes; undefined where there is none of this name. */
  read(name: string): Buffer | undefined;
}

/**
 * Opens a ZIP file by its central directory. Parts are unpacked by Node's zlib, no further than to {@link MOST_UNPACKED} bytes
 * together, whatever sizes the file claims.
 *
 * @throws {BeadbenchError} `bad-file` for what is no ZIP file, is cut off, encrypted, or unpacks to too much
 * @source PKWARE, APPNOTE.TXT 6.3, sections 4.3.7, 4.3.12 and 4.3.16 (from memory)
 */
export function unzip(bytes: Uint8Array, file: string): Unzipped {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const fault = (what: string): BeadbenchError => new BeadbenchError("bad-file", `${file} ${what}`);
  const parts = directory(buffer, fault);
  let left = MOST_UNPACKED;
  return {
    read(name) {
      const part = parts.get(name);
      if (part === undefined) return undefined;
      const { offset, packed, method } = part;
      if (offset + 30 > buffer.length || buffer.readUInt32LE(offset) !== LOCAL)
        throw fault("is damaged: save it anew");
      const start = offset + 30 + buffer.readUInt16LE(offset + 26) + buffer.readUInt16LE(offset + 28);
      const content = buffer.subarray(start, start + packed);
      if (content.length < packed) throw fault("is cut off: copy it anew");
      const found = method === 0 ? content : inflated(content, left, fault);
      left -= found.length;
      if (left < 0) throw tooMuch(fault);
      return found;
    },
  };
}

type Fault = (what: string) => BeadbenchError;

function directory(buffer: Buffer, fault: Fault): ReadonlyMap<string, Part> {
  let end = buffer.length - 22;
  while (end >= 0 && end > buffer.length - 65_600 && buffer.readUInt32LE(end) !== END) end -= 1;
  if (end < 0 || buffer.readUInt32LE(end) !== END)
    throw fault("is no XLSX workbook, or is cut off: save it as XLSX, or as CSV (UTF-8)");
  const count = buffer.readUInt16LE(end + 10);
  if (count > MOST_PARTS) throw fault(`has ${count} parts: no workbook of a workshop has so many`);
  const parts = new Map<string, Part>();
  let at = buffer.readUInt32LE(end + 16);
  for (let i = 0; i < count; i++) {
    if (at + 46 > buffer.length || buffer.readUInt32LE(at) !== CENTRAL)
      throw fault("is damaged: save it anew");
    const length = buffer.readUInt16LE(at + 28);
    if ((buffer.readUInt16LE(at + 8) & 1) === 1) throw fault("is encrypted: save it without a password");
    const method = buffer.readUInt16LE(at + 10);
    if (method !== 0 && method !== 8) throw fault("is packed in an unusual way: save it anew");
    const name = buffer.toString("utf8", at + 46, at + 46 + length).replaceAll("\\", "/");
    parts.set(name, { method, packed: buffer.readUInt32LE(at + 20), offset: buffer.readUInt32LE(at + 42) });
    at += 46 + length + buffer.readUInt16LE(at + 30) + buffer.readUInt16LE(at + 32);
  }
  return parts;
}

function inflated(content: Buffer, most: number, fault: Fault): Buffer {
  try {
    return inflateRawSync(content, { maxOutputLength: Math.max(1, most) });
  } catch (error) {
    throw (error as NodeJS.ErrnoException).code === "ERR_BUFFER_TOO_LARGE"
      ? tooMuch(fault)
      : fault("is damaged: save it anew");
  }
}

const tooMuch = (fault: Fault): BeadbenchError =>
  fault(
    `unpacks to more than ${MOST_UNPACKED / 1e6} MB, which is refused; save the sheet alone as CSV (UTF-8)`,
  );
