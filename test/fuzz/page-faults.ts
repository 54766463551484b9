/** A start tag of a page, as a browser would read it. */
interface Tag {
  readonly name: string;
  readonly attributes: readonly (readonly [name: string, value: string])[];
  /** Text up to the end tag, of an element that holds nothing else. */
  readonly text?: string;
}

const TEXT_ONLY = [
  "script",
  "style",
  "textarea",
  "title",
  "xmp",
  "iframe",
  "noembed",
  "noframes",
  "plaintext",
];
const ATTRIBUTE = /[\s/]*([^\s/>=][^\s/>=]*)(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s>]*)))?/y;

/**
 * The start tags of a page by the rules of the standard's tokenizer: an attribute ends where its quote does, comments and
 * elements of text alone hold no tags.
 *
 * @source WHATWG, HTML, section 13.2.5 (from memory), without character references, which make no tags
 */
export function tagsOf(html: string): readonly Tag[] {
  const tags: Tag[] = [];
  let at = 0;
  while (at < html.length) {
    const open = html.indexOf("<", at);
    if (open < 0) break;
    if (html.startsWith("<!--", open)) {
      const close = /--!?>/g;
      close.lastIndex = html.startsWith("<!-->", open) ? open + 2 : open + 4;
      at = close.exec(html) === null ? html.length : close.lastIndex;
      continue;
    }
    const name = /^<([a-zA-Z][^\s/>]*)/.exec(html.slice(open, open + 60))?.[1]?.toLowerCase();
    if (name === undefined) {
      at = open + 1;
      continue;
    }
    at = open + 1 + name.length;
    const attributes: [string, string][] = [];
    for (;;) {
      ATTRIBUTE.lastIndex = at;
      const found = ATTRIBUTE.exec(html);
      if (found === null) break;
      at = ATTRIBUTE.lastIndex;
      attributes.push([found[1]!.toLowerCase(), found[2] ?? found[3] ?? found[4] ?? ""]);
    }
    at = html.indexOf(">", at) + 1;
    if (at === 0) break;
    if (!TEXT_ONLY.includes(name)) {
      tags.push({ name, attributes });
      continue;
    }
    const end = new RegExp(`</${name}[\\s/>]`, "gi");
    end.lastIndex = at;
    const close = end.exec(html)?.index ?? html.length;
    tags.push({ name, attributes, text: html.slice(at, close) });
    at = close;
  }
  return tags;
}

/** Elements that no page of ours has. */
const STRANGE = [
  "iframe",
  "object",
  "embed",
  "base",
  "frame",
  "portal",
  "applet",
  "foreignobject",
  "animate",
  "set",
];

const isData = ({ attributes }: Tag): boolean =>
  attributes.some(([name, value]) => name === "type" && value === "application/json");

/**
 * What of a page would run, or reach out, that pages of ours do not.
 *
 * @param scripts - the code of the scripts that the page brings itself
 */
export function pageFaults(html: string, scripts: ReadonlySet<string>): readonly string[] {
  return tagsOf(html).flatMap((tag): readonly string[] => {
    const { name, attributes, text = "" } = tag;
    const shown = `<${name} ${attributes.map(([key, value]) => `${key}="${value.slice(0, 60)}"`).join(" ")}>`;
    const strange =
      STRANGE.includes(name) ||
      (name === "script" && !isData(tag) && !scripts.has(text)) ||
      attributes.some(
        ([key, value]) =>
          key.startsWith("on") ||
          /^[\s\0-\x20]*(?:javascript|vbscript|data:text)/i.test(value) ||
          (["src", "href", "xlink:href", "action", "formaction"].includes(key) &&
            /^\s*(?:https?:)?\/\//i.test(value)),
      );
    const data =
      name === "script" && isData(tag) && !parses(text)
        ? [`data of a page is no JSON: ${text.slice(0, 80)}`]
        : [];
    return [...(strange ? [`a page holds ${shown}`] : []), ...data];
  });
}

function parses(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}

/** The scripts of a page by their code. */
export const scriptsOf = (html: string): readonly string[] =>
  tagsOf(html).flatMap((tag) => (tag.name === "script" && !isData(tag) ? [tag.text ?? ""] : []));

/** Control characters other than tab and line end, and marks that turn text round: what a terminal would obey. */
export const obeyed = /[^\P{Cc}\n\t]|\p{Bidi_Control}/u;
