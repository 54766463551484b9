import { joined, type Output } from "./notebook.js";

/** Numbers in drawings may differ by this much, in px: the last bits of a fit move with the processor. */
const drawingTolerance = 0.05;

/**
 * What differs between the outputs stored with a cell and those it gives now: text exactly, drawings
 * apart from their numbers exactly and in the numbers to {@link drawingTolerance}.
 *
 * @returns one sentence, or `undefined` when nothing differs
 */
export function difference(stored: readonly Output[], now: readonly Output[]): string | undefined {
  const [before, after] = [merged(stored), merged(now)];
  for (let i = 0; i < Math.max(before.length, after.length); i++) {
    const [a, b] = [before[i], after[i]];
    if (a === undefined) return `new output ${i + 1}: ${excerpt(b!.text)}`;
    if (b === undefined) return `output ${i + 1} is gone: ${excerpt(a.text)}`;
    if (a.kind !== b.kind) return `output ${i + 1} was ${a.kind} and is ${b.kind}: ${excerpt(b.text)}`;
    const same = a.kind === "image/svg+xml" ? sameDrawing(a.text, b.text) : a.text === b.text;
    if (!same) return `${a.kind} differs${firstDifference(a.text, b.text)}`;
  }
  return undefined;
}

/** Outputs as pairs of kind and text; neighbouring pieces of one stream are one output. */
function merged(outputs: readonly Output[]): { kind: string; text: string }[] {
  const list: { kind: string; text: string }[] = [];
  for (const output of outputs) {
    const parts =
      output.output_type === "stream" ? [[output.name, output.text] as const] : Object.entries(output.data);
    for (const [kind, text] of parts) {
      const last = list.at(-1);
      if (output.output_type === "stream" && last?.kind === kind) last.text += joined(text);
      else list.push({ kind, text: joined(text) });
    }
  }
  return list;
}

function sameDrawing(a: string, b: string): boolean {
  const number = /-?\d+(?:\.\d+)?/g;
  if (a.replace(number, "#") !== b.replace(number, "#")) return false;
  const [from, to] = [a.match(number) ?? [], b.match(number) ?? []];
  return from.every((value, i) => Math.abs(Number(value) - Number(to[i])) <= drawingTolerance);
}

function firstDifference(a: string, b: string): string {
  const at = [...a].findIndex((char, i) => char !== b[i]);
  const from = Math.max(0, (at < 0 ? Math.min(a.length, b.length) : at) - 30);
  return `\n    stored: ${excerpt(a.slice(from))}\n    now:    ${excerpt(b.slice(from))}`;
}

const excerpt = (text: string): string =>
  JSON.stringify(text.length > 160 ? `${text.slice(0, 160)}...` : text);
