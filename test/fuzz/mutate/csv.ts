import type { RandomStream } from "../../../lib/numeric/index.js";
import { mutateBytes } from "./bytes.js";
import { chance, oddNumbers, oddWords, pick } from "./odd.js";

type Table = readonly (readonly string[])[];

const oddCell = (draw: RandomStream): string => {
  const word = pick(draw, chance(draw, 0.5) ? oddNumbers : oddWords);
  return /[",\n]/.test(word) && chance(draw, 0.7) ? `"${word.replaceAll('"', '""')}"` : word;
};
const row = (draw: RandomStream, table: Table): number => draw.integer(0, table.length - 1);
const changeRow = (
  table: Table,
  at: number,
  change: (cells: readonly string[]) => readonly string[],
): Table => table.map((cells, i) => (i === at ? change(cells) : cells));
const changeCell = (draw: RandomStream, table: Table, at: number, change: (cell: string) => string): Table =>
  changeRow(table, at, (cells) => {
    const column = draw.integer(0, Math.max(0, cells.length - 1));
    return cells.map((cell, j) => (j === column ? change(cell) : cell));
  });

/** A table of cells with one thing done to it. */
function mutateTable(draw: RandomStream, table: Table, other: Table): Table {
  const at = row(draw, table);
  const elsewhere = row(draw, table);
  return pick<() => Table>(draw, [
    () => changeCell(draw, table, at, () => oddCell(draw)),
    () => changeCell(draw, table, at, () => oddCell(draw)),
    () => changeCell(draw, table, at, () => ""),
    () => changeCell(draw, table, at, (cell) => cell.replace(".", ",")),
    () =>
      changeCell(draw, table, at, (cell) => `${cell}${pick(draw, ["0", "000", " mm", "?", "e300", "-"])}`),
    () => changeCell(draw, table, at, (cell) => `-${cell}`),
    () => changeCell(draw, table, 0, () => oddCell(draw)),
    () => changeCell(draw, table, 0, (cell) => cell.replace(/\[.*\]/, `[${pick(draw, oddWords)}]`)),
    () =>
      changeCell(draw, table, 0, (cell) =>
        cell.replace(/\[.*\]/, `[${pick(draw, ["in", "m/s", "kA", "%", "degF"])}]`),
      ),
    () => changeCell(draw, table, 0, () => pick(draw, table[0]!)),
    () => table.filter((_, i) => i !== at),
    () => [...table.slice(0, at), table[elsewhere]!, ...table.slice(at)],
    () => changeRow(table, at, (cells) => [...cells, oddCell(draw)]),
    () => changeRow(table, at, (cells) => cells.slice(1)),
    () => changeRow(table, at, () => []),
    () => draw.shuffle(table),
    () => table.slice(0, 1),
    () => table.slice(0, draw.integer(1, 4)),
    () => [...table, ...other.slice(1)],
    () => table.map((cells) => [...cells, ...cells]),
    () => table.map((cells) => cells.map((cell, j) => (j === at ? oddCell(draw) : cell))),
    () => table.map((cells, i) => (i === 0 ? cells : (table[1] ?? cells))),
    () =>
      chance(draw, 0.05)
        ? Array.from({ length: 100_000 }, (_, i) => table[1 + (i % Math.max(1, table.length - 1))] ?? [])
        : table,
    () =>
      chance(draw, 0.05)
        ? changeRow(table, 0, (cells) => [...cells, ...Array.from({ length: 100_000 }, (_, i) => `c${i}`)])
        : table,
  ])();
}

/** What spreadsheets, loggers and cut copies do to the text of a table. */
function mutateText(draw: RandomStream, text: string): string | Buffer {
  return pick<() => string | Buffer>(draw, [
    () => `\ufeff${text}`,
    () => Buffer.from(`\ufeff${text}`, "utf16le"),
    () => Buffer.from(`\ufeff${text}`, "utf16le").swap16(),
    () => Buffer.from(text, "utf16le"),
    () => Buffer.from(text.replace("m", "µ"), "latin1"),
    () => text.replaceAll("\n", "\r"),
    () => text.replaceAll("\n", "\r\n"),
    () => text.replaceAll(",", ";").replaceAll(".", ","),
    () => text.replaceAll(",", "\t"),
    () => text.replaceAll(",", "|"),
    () => text.replaceAll(/[^,\n]+/g, '"$&"'),
    () => text.replace(",", ',"'),
    () => text.replaceAll("\n", "\n\n"),
    () => `# logger 7\n\n${text}`,
    () => text.replace("1", "\0"),
    () => "",
    () => "\n",
    () => ",,,,\n".repeat(draw.integer(1, 50)),
    () => mutateBytes(draw, Buffer.from(text)),
    () => mutateBytes(draw, Buffer.from(text)),
  ])();
}

const cellsOf = (text: string): Table =>
  text
    .trimEnd()
    .split("\n")
    .map((line) => line.split(","));

/** A CSV text with one to four things done to it; `other` lends rows. */
export function mutateCsv(draw: RandomStream, text: string, other: string = text): string | Buffer {
  if (chance(draw, 0.2)) return mutateText(draw, text);
  let table = cellsOf(text);
  for (let i = 0; i === 0 || (i < 4 && chance(draw, 0.35)); i++)
    if (table.length > 0) table = mutateTable(draw, table, cellsOf(other));
  const found = `${table.map((cells) => cells.join(",")).join("\n")}\n`;
  return chance(draw, 0.05) ? mutateText(draw, found) : found;
}
