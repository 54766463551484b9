import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { sha256 } from "../../../lib/numeric/random/sha256.js";

const hex = (text: string): string => Buffer.from(sha256(text).buffer).toString("hex");

describe("sha256", () => {
  // FIPS 180-4 examples, https://csrc.nist.gov/projects/cryptographic-standards-and-guidelines/example-values
  test.each([
    ["abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"],
    [
      "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
      "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ],
  ])("of %s is the published one", (text, expected) => {
    expect(hex(text)).toBe(expected);
  });

  test("of any text is Node's, also about the ends of blocks", () => {
    const node = (text: string): string => createHash("sha256").update(text).digest("hex");
    for (let length = 0; length < 200; length++)
      expect(hex("x".repeat(length))).toBe(node("x".repeat(length)));
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 300 }), (text) => {
        expect(hex(text)).toBe(node(text));
      }),
    );
  });
});
