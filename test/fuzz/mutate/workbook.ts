import type { RandomStream } from "../../../lib/numeric/index.js";
import { zipOf } from "../../support/zip.js";
import { mutateBytes } from "./bytes.js";
import { chance, oddNumbers, oddWords, pick } from "./odd.js";

/** Parts of a workbook of one sheet. */
type Parts = Readonly<Record<string, string | Buffer>>;

const escaped = (text: string): string =>
  text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll('"', "&quot;")
    .replaceAll(/[^\t\n\r -\uffff]/g, "");

/** A workbook that says the same as a CSV text: numbers as numbers, the rest as texts in the cells or shared. */
export function workbookParts(csv: string): Parts {
  const shared: string[] = [];
  const cell = (text: string, i: number, j: number): string => {
    const place = `${String.fromCharCode(65 + (j % 26))}${i + 1}`;
    if (/^-?\d+(\.\d+)?$/.test(text)) return `<c r="${place}"><v>${text}</v></c>`;
    if ((i + j) % 2 === 0) return `<c r="${place}" t="inlineStr"><is><t>${escaped(text)}</t></is></c>`;
    shared.push(`<si><t>${escaped(text)}</t></si>`);
    return `<c r="${place}" t="s"><v>${shared.length - 1}</v></c>`;
  };
  const rows = csv
    .trimEnd()
    .split("\n")
    .map(
      (line, i) =>
        `<row r="${i + 1}">${line
          .split(",")
          .map((text, j) => cell(text, i, j))
          .join("")}</row>`,
    );
  return {
    "xl/workbook.xml": '<workbook><sheets><sheet name="a" sheetId="1" r:id="r1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels":
      '<Relationships><Relationship Id="r1" Target="worksheets/s.xml"/><Relationship Id="r2" Target="sharedStrings.xml"/></Relationships>',
    "xl/worksheets/s.xml": `<worksheet><sheetData>${rows.join("")}</sheetData></worksheet>`,
    "xl/sharedStrings.xml": `<sst count="${shared.length}">${shared.join("")}</sst>`,
    "xl/styles.xml": '<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>',
  };
}

/** Entities that grow: each says ten of the one before. */
const laughs = `<!DOCTYPE a [<!ENTITY e0 "ha">${Array.from({ length: 12 }, (_, i) => `<!ENTITY e${i + 1} "${`&e${i};`.repeat(10)}">`).join("")}]>`;

const pieces = (text: string, pattern: RegExp): readonly string[] => text.match(pattern) ?? [""];

/** The XML of one part with one thing done to it. */
function mutateXml(draw: RandomStream, xml: string): string {
  const tags = pieces(xml, /<[^>]*>/g);
  const values = pieces(xml, /"[^"]*"/g);
  const replaceOne = (what: string, by: string): string => xml.replace(what, () => by);
  return pick<() => string>(draw, [
    () => replaceOne(pick(draw, values), `"${escaped(pick(draw, [...oddWords, ...oddNumbers]))}"`),
    () => replaceOne(pick(draw, values), pick(draw, values)),
    () => replaceOne(pick(draw, tags), ""),
    () => replaceOne(pick(draw, tags), pick(draw, tags)),
    () => replaceOne(pick(draw, tags), pick(draw, tags).repeat(3)),
    () => xml.replace(/<v>[^<]*<\/v>/, () => `<v>${escaped(pick(draw, [...oddNumbers, ...oddWords]))}</v>`),
    () => xml.replace(/<t>[^<]*<\/t>/, () => `<t>${escaped(pick(draw, oddWords))}</t>`),
    () =>
      xml.replace(
        /r="[A-Z]+\d+"/,
        () => `r="${pick(draw, ["ZZZZZZ9", "A0", "A99999999999", "1A", "", "XFE1"])}"`,
      ),
    () => xml.replace(/<row r="\d+"/, () => `<row r="${pick(draw, oddNumbers)}"`),
    () => `${laughs}${xml.replace(/<t>/, "<t>&e12;")}`,
    () => `<?xml version="1.0"?><!DOCTYPE a SYSTEM "file:///etc/passwd">${xml}`,
    () => xml.replace(/<t>/, "<t>&#x110000;&#0;&#xD800;&nope;"),
    () => `${"<a>".repeat(chance(draw, 0.1) ? 100_000 : 50)}${xml}`,
    () => xml.replace(/>([^<]+)</, "><![CDATA[$1]]><"),
    () => xml.replace(/<c /, `<c ${"x".repeat(chance(draw, 0.1) ? 1_000_000 : 9)} `),
    () => xml.replace(/<c /, '<c t="e" '),
    () => xml.replace(/<c /, '<c s="1" '),
    () => xml.replace(/<c /, '<c s="999999" '),
    () => xml.slice(0, draw.integer(0, xml.length)),
    () => "",
  ])();
}

/** A workbook of a table with one to four things done inside it, or to its bytes; seldom one that unpacks to far too much. */
export function mutateWorkbook(draw: RandomStream, csv: string): Buffer {
  if (chance(draw, 0.004))
    return zipOf({ ...workbookParts(csv), "xl/sharedStrings.xml": Buffer.alloc(101_000_000, 32) }, 10);
  let parts = workbookParts(csv);
  for (let i = 0; i === 0 || (i < 4 && chance(draw, 0.35)); i++) {
    const name = pick(draw, Object.keys(parts));
    parts = pick<() => Parts>(draw, [
      () => Object.fromEntries(Object.entries(parts).filter(([key]) => key !== name)),
      () => ({ ...parts, [pick(draw, oddWords)]: "<a/>" }),
      ...Array.from({ length: 8 }, () => () => ({ ...parts, [name]: mutateXml(draw, String(parts[name])) })),
    ])();
    if (Object.keys(parts).length === 0) break;
  }
  const bytes = zipOf(parts, pick(draw, [10, 0, 0xffffffff]));
  return chance(draw, 0.3) ? mutateBytes(draw, bytes, zipOf(workbookParts(csv), 10)) : bytes;
}
