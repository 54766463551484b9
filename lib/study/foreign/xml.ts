import { BeadbenchError, ownValue } from "../../errors/index.js";

/** What is met in an XML text, in its order; names come without their prefix. */
export interface XmlReader {
  open?(name: string, attributes: Readonly<Record<string, string>>): void;
  text?(text: string): void;
  close?(name: string): void;
}

const TOKEN =
  /<!--[\s\S]*?-->|<!\[CDATA\[([\s\S]*?)\]\]>|<\?[\s\S]*?\?>|<(\/?)([\w:.-]+)((?:\s+[\w:.-]+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*)\s*(\/?)>|([^<]+)/y;
const ATTRIBUTE = /([\w:.-]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g;
const NAMED: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'" };

/**
 * Reads the XML of an office file from left to right. A document type is refused, so that no entity of its own can grow; there
 * are only the five of XML itself and characters by number.
 *
 * @throws {BeadbenchError} `bad-file` for a document type, and for what is no well-formed XML
 * @source W3C, Extensible Markup Language 1.0, sections 2.3 to 2.7, 3.1 and 4.1
 */
export function readXml(text: string, file: string, reader: XmlReader): void {
  const open: string[] = [];
  const fault = (what: string): BeadbenchError =>
    new BeadbenchError("bad-file", `${file} ${what}: save it anew, or as CSV (UTF-8)`);
  TOKEN.lastIndex = 0;
  const start = text.startsWith("\uFEFF") ? 1 : 0;
  for (let at = start; at < text.length; ) {
    TOKEN.lastIndex = at;
    const token = TOKEN.exec(text);
    if (token === null)
      throw fault(
        text.startsWith("<!DOCTYPE", at) ? "brings a document type, which is refused" : "holds damaged XML",
      );
    at = TOKEN.lastIndex;
    const [, data, slash, prefixed, attributes = "", empty, words] = token;
    if (data !== undefined) reader.text?.(data);
    else if (words !== undefined) reader.text?.(unescaped(words));
    else if (prefixed !== undefined) {
      const name = localName(prefixed);
      if (slash === "") {
        reader.open?.(name, attributesOf(attributes));
        if (empty === "") open.push(name);
      } else if (open.pop() !== name) throw fault("holds damaged XML");
      if (slash === "/" || empty === "/") reader.close?.(name);
    }
  }
  if (open.length > 0) throw fault("holds XML that is cut off");
}

const localName = (name: string): string => name.slice(name.indexOf(":") + 1);

function attributesOf(text: string): Readonly<Record<string, string>> {
  const found: Record<string, string> = Object.create(null);
  for (const [, name, double, single] of text.matchAll(ATTRIBUTE))
    found[localName(name!)] = unescaped(double ?? single ?? "");
  return found;
}

function unescaped(text: string): string {
  return text.replace(/&(#?\w{1,8});/g, (whole, said: string) => {
    if (!said.startsWith("#")) return Object.hasOwn(NAMED, said) ? ownValue(NAMED, said)! : whole;
    const code = /^#x/i.test(said) ? Number.parseInt(said.slice(2), 16) : Number(said.slice(1));
    return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : "";
  });
}
