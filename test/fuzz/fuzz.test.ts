import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Place } from "./attempt.js";
import { kinds } from "./kinds/index.js";
import { pageFaults } from "./page-faults.js";
import { makePlace, tryInput } from "./try-input.js";

/** Of every kind; thousands of each are tried by `npm run fuzz`. */
const EACH = 8;

const root = mkdtempSync(join(tmpdir(), "beadbench-fuzz-"));
let place: Place;
beforeAll(async () => {
  place = await makePlace(root);
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe("inputs changed at random", () => {
  test.each([...kinds.keys()])("%s are taken whole or refused in plain words", async (kind) => {
    for (let index = 0; index < EACH; index++) {
      const { faults } = await tryInput(place, { kind, seed: 2026, index });
      expect(faults, `npm run fuzz -- --kind ${kind} --seed 2026 --only ${index}`).toEqual([]);
    }
  });
});

describe("what looks for scripts in pages", () => {
  const none: ReadonlySet<string> = new Set();
  test.each([
    "<p title='a'onclick=x()>",
    '<img src="x" onerror="y">',
    "<scr\nipt></script><script>a()</script>",
    "<!--><script>a()</script>-->",
    "<a href=' \tjavascript:a()'>",
    '<svg/onload="a()">',
    '<script type="application/json">{"a":"</script><script>a()</script>"}</script>',
    "<style></style ><iframe srcdoc=x>",
    '<link href="//elsewhere.example/x.css">',
  ])("finds it in %s", (page) => {
    expect(pageFaults(page, none)).not.toEqual([]);
  });
  test.each([
    "<p title='&lt;script>' class=\"on\">a < b</p>",
    "<textarea><script>a()</script></textarea>",
    "<!-- <script>a()</script> --><b>on</b>",
    '<p title="<img onerror=x>">',
    '<script type="application/json">{"a":"<\\/script>"}</script>',
  ])("finds none in %s", (page) => {
    expect(pageFaults(page, none)).toEqual([]);
  });
});
