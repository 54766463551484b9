/**
 * Width of a text in px, from rounded advance widths of DejaVu Sans (em): narrow, wide, capital and
 * other characters. Estimated, so that the layout does not depend on the fonts of the machine.
 */
export function textWidth(
  text: string,
  { fontSize = 11, fontWeight }: { readonly fontSize?: number; readonly fontWeight?: string | number } = {},
): number {
  let em = 0;
  for (const char of text) {
    if (/[ijl.,:;'|!()[\] ftIr]/.test(char)) em += 0.35;
    else if (/[mwMW%&<>+=~@#]/.test(char)) em += 0.95;
    else if (char.codePointAt(0)! > 0x2e7f)
      em += 1.05; // ideographs and pictures fill their square
    else em += /[A-Z]/.test(char) ? 0.7 : 0.64;
  }
  return em * fontSize * (fontWeight === "bold" ? 1.12 : 1);
}

/**
 * A text in lines no wider than so many px as far as its words allow; a word wider than that is broken.
 *
 * @example wrapLines("mind the arc", 60) // => ["mind the", "arc"]
 */
export function wrapLines(
  text: string,
  width: number,
  font?: { readonly fontSize?: number; readonly fontWeight?: string },
): string[] {
  const fits = (line: string): boolean => textWidth(line, font) <= width;
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (line !== "") lines.push(line);
    line = word;
    while (!fits(line) && [...line].length > 1) {
      const chars = [...line];
      let n = chars.length - 1;
      while (n > 1 && !fits(chars.slice(0, n).join(""))) n--;
      lines.push(chars.slice(0, n).join(""));
      line = chars.slice(n).join("");
    }
  }
  return [...lines, line];
}
