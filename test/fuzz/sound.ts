/** A WAV file of two channels of 16 bits, 10 kHz, written by the published layout. */
export function wavOf(frames: number, at: (i: number) => readonly [number, number]): Buffer {
  const bytes = Buffer.alloc(44 + 4 * frames);
  bytes.write("RIFF");
  bytes.writeUInt32LE(36 + 4 * frames, 4);
  bytes.write("WAVEfmt ", 8);
  [16, 0x0002_0001, 10_000, 40_000, 0x0010_0004].forEach((word, i) => {
    bytes.writeUInt32LE(word, 16 + 4 * i);
  });
  bytes.write("data", 36);
  bytes.writeUInt32LE(4 * frames, 40);
  for (let i = 0; i < frames; i++)
    at(i).forEach((value, channel) => {
      bytes.writeInt16LE(Math.round(value * 32_767), 44 + 4 * i + 2 * channel);
    });
  return bytes;
}
