/**
 * Text as content or attribute value of HTML or SVG: the five special characters written as entities.
 *
 * @example escapeMarkup("a < b") // => "a &lt; b"
 */
export function escapeMarkup(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}
