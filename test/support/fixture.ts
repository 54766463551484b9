import { readFileSync } from "node:fs";

/** Reads a JSON fixture beside a test: `readFixture<Shape>(import.meta.url, "fixtures/name.json")`. */
export function readFixture<T>(testUrl: string, path: string): T {
  return JSON.parse(readFileSync(new URL(path, testUrl), "utf8")) as T;
}
