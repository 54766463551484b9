/** The first bits of the fractional parts of `root` of the first `count` primes, as FIPS 180-4 takes its constants. */
function primeRoots(count: number, root: (x: number) => number): Uint32Array {
  const found: number[] = [];
  for (let n = 2; found.length < count; n++) if (found.every((prime) => n % prime !== 0)) found.push(n);
  return Uint32Array.from(found, (prime) => (root(prime) % 1) * 2 ** 32);
}

const START = primeRoots(8, Math.sqrt);
const ROUND = primeRoots(64, Math.cbrt);
const BLOCK = 64;

const turned = (x: number, by: number): number => (x >>> by) | (x << (32 - by));

/** The message with a bit 1, zeros, and its length in bits: whole blocks. */
function padded(bytes: Uint8Array): DataView {
  const view = new DataView(new ArrayBuffer(BLOCK * Math.ceil((bytes.length + 9) / BLOCK)));
  bytes.forEach((byte, i) => {
    view.setUint8(i, byte);
  });
  view.setUint8(bytes.length, 0x80);
  view.setBigUint64(view.byteLength - 8, 8n * BigInt(bytes.length));
  return view;
}

/**
 * SHA-256 of a text in UTF-8: 32 bytes. For short texts that name random streams. Written out, because a page has no
 * hash that answers at once, and its streams must be those of the library; the journal takes Node's.
 *
 * @source FIPS 180-4, Secure Hash Standard (2015), sections 4.1.2, 4.2.2, 5.1.1 and 6.2
 */
export function sha256(text: string): DataView {
  const message = padded(new TextEncoder().encode(text));
  const hash = Uint32Array.from(START);
  const w = new Uint32Array(64);
  for (let block = 0; block < message.byteLength; block += BLOCK) {
    for (let t = 0; t < 16; t++) w[t] = message.getUint32(block + 4 * t);
    for (let t = 16; t < 64; t++) {
      const [two, fifteen] = [w[t - 2]!, w[t - 15]!];
      const small1 = turned(two, 17) ^ turned(two, 19) ^ (two >>> 10);
      const small0 = turned(fifteen, 7) ^ turned(fifteen, 18) ^ (fifteen >>> 3);
      w[t] = small1 + w[t - 7]! + small0 + w[t - 16]!;
    }
    let [a, b, c, d, e, f, g, h] = hash as unknown as [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    for (let t = 0; t < 64; t++) {
      const large1 = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
      const large0 = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
      const one = (h + large1 + ((e & f) ^ (~e & g)) + ROUND[t]! + w[t]!) | 0;
      const two = (large0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((part, i) => {
      hash[i]! += part;
    });
  }
  const result = new DataView(new ArrayBuffer(32));
  hash.forEach((word, i) => {
    result.setUint32(4 * i, word);
  });
  return result;
}
