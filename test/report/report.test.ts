import { describe, expect, test } from "vitest";
import { renderReport } from "../../lib/report/index.js";
import { sampleReport } from "./sample.js";

const page = await renderReport(sampleReport);
const count = (pattern: RegExp): number => [...page.matchAll(pattern)].length;

describe("renderReport", () => {
  test("gives the same page for the same document", async () => {
    expect((await renderReport(sampleReport)) === page).toBe(true);
  });

  test("fetches nothing and runs nothing", () => {
    expect(page).not.toMatch(/<(script|link|img|iframe|object|embed|base)\b/i);
    expect(page).not.toMatch(/\b(src|srcset|action|formaction|onload|onerror|onclick)=/i);
    expect(page).not.toMatch(/@import|url\((?!#)/i);
    const links = [...page.matchAll(/href="([^"]*)"/g)].map((match) => match[1]!);
    expect(links.filter((link) => !link.startsWith("#"))).toEqual([]);
    expect(page).toContain(`content="default-src 'none';`);
  });

  test("has unique ids, and every reference inside the page leads somewhere", () => {
    const ids = [...page.matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!);
    expect(new Set(ids).size).toBe(ids.length);
    const references = [
      ...page.matchAll(/href="#([^"]+)"/g),
      ...page.matchAll(/url\(#([^)]+)\)/g),
      ...page.matchAll(/aria-labelledby="([^"]+)"/g),
    ].map((match) => match[1]!);
    expect(references.length).toBeGreaterThan(5);
    expect(references.filter((id) => !ids.includes(id))).toEqual([]);
  });

  test("opens and closes its elements in order", () => {
    const open: string[] = [];
    for (const [, close, name, self] of page
      .replace(/<style>.*?<\/style>/s, "")
      .matchAll(/<(\/?)([a-z][a-z0-9]*)\b[^>]*?(\/?)>/gi)) {
      if (self === "/" || name === "meta") continue;
      if (close === "/") expect(open.pop()).toBe(name);
      else open.push(name!);
    }
    expect(open).toEqual([]);
  });

  test("names every figure, table and scroll region", () => {
    const figures = sampleReport.sections.flatMap(({ charts }) => charts ?? []).length;
    expect(figures).toBeGreaterThan(10);
    expect(count(/<figure /g)).toBe(figures);
    expect(count(/<figcaption>[^<]+<\/figcaption>/g)).toBe(figures);
    // Each is drawn for a phone and for a desk, several panels for a tablet too; the style shows one.
    expect(count(/<svg [^>]*role="img" aria-label="[^"]{20,}"/g)).toBe(
      2 * figures + count(/<figure [^>]*class="panels"/g),
    );
    expect(count(/<table[^>]*>\n<caption>[^<]+<\/caption>/g)).toBe(1);
    expect(count(/class="scroll" tabindex="0" role="group" aria-label="[^"]+"/g)).toBe(figures + 1);
  });

  test("heads table columns and rows, and sets numbers flush right", () => {
    expect(page).toMatch(/<th scope="col"[^>]* class="numeric">Estimate<\/th>/);
    expect(page).toMatch(/<th scope="row"[^>]*>Travel speed<\/th><td[^>]* class="numeric"[^>]*>−0.46<\/td>/);
  });

  test("says the severity of a finding in words, not by colour alone", () => {
    expect(page).toContain("<strong>Warning:</strong> Current and arc voltage moved together");
    expect(page).toContain("<strong>Error:</strong> Coupon C17");
    expect(page).toContain("<strong>Note:</strong> Five centre repeats");
  });

  test("puts cautions before the sections", () => {
    expect(page.indexOf("Arc radiation")).toBeLessThan(page.indexOf("<main>"));
  });
});

test("renderReport shows markup in any text as text", async () => {
  const evil = `<b onclick="x">&'`;
  const shown = "&lt;b onclick=&quot;x&quot;&gt;&amp;&#39;";
  const html = await renderReport({
    title: evil,
    subtitle: evil,
    cautions: [evil],
    provenance: [evil],
    sections: [
      {
        heading: evil,
        paragraphs: [evil],
        keyFigures: [{ label: evil, value: evil, note: evil }],
        findings: [{ code: "x", severity: "info", message: evil, advice: evil }],
        tables: [{ caption: evil, columns: [{ heading: evil }, { heading: evil }], rows: [[evil, evil]] }],
        charts: [{ ...sampleReport.sections[0]!.charts![0]!, caption: evil }],
      },
    ],
  });
  expect(html).not.toContain("<b ");
  // title twice, subtitle, caution, provenance; heading twice, paragraph, 3 key figure texts, 2 finding
  // texts, 2 column heads, 2 cells; table and chart captions, each also as the name of its scroll region.
  expect(html.split(shown)).toHaveLength(1 + 21);
});

test("renderReport refuses a table row that does not fit, and an empty report", async () => {
  const tables = [
    { caption: "Runs", columns: [{ heading: "a" }, { heading: "b" }], rows: [["1", "2"], ["3"]] },
  ];
  const report = { title: "T", cautions: [], sections: [{ heading: "H", tables }] };
  await expect(renderReport(report)).rejects.toThrow('table "Runs", row 2: needs 2 cells, got 1');
  await expect(renderReport({ ...report, sections: [] })).rejects.toThrow("at least one section");
});

describe("claims of a report", () => {
  const section = { key: "record", heading: "Record" };
  const claim = { text: "Twelve coupons were run.", evidence: [{ text: "each of them", key: "record" }] };

  test("lead to the section they rest on, which says what it rests on itself", async () => {
    const page = await renderReport({
      title: "t",
      cautions: [],
      answer: { heading: "What to do next", paragraphs: [claim] },
      sections: [{ ...section, basis: "As the journal holds it." }],
    });
    expect(page).toContain(
      'Twelve coupons were run. <span class="evidence"><a href="#section-record">each of them</a></span>',
    );
    expect(page).toContain(
      '<h2 id="section-record">Record</h2>\n<p class="basis">As the journal holds it.</p>',
    );
    expect(page).toContain('<li><a href="#section-record">Record</a></li>');
  });

  test("are refused where no section, or more than one, is meant", async () => {
    const report = { title: "t", cautions: [], sections: [{ heading: "At a glance", paragraphs: [claim] }] };
    await expect(renderReport(report)).rejects.toThrow(
      'section "At a glance" rests a claim on a section "record" that is not there',
    );
    await expect(renderReport({ ...report, sections: [section, section] })).rejects.toThrow(
      'the keys of sections must differ, got "record" twice',
    );
  });
});

describe("the answer of a report", () => {
  test("stands before the cautions, which are announced before it and follow in full", async () => {
    const page = await renderReport({
      title: "t",
      answer: { heading: "What to do next", paragraphs: ["Run C001."] },
      cautions: ["Mind the arc."],
      sections: [{ heading: "At a glance" }],
    });
    const [heed, answer, cautions, glance] = [
      'href="#cautions"',
      "Run C001.",
      "Mind the arc.",
      ">At a glance</h2>",
    ].map((text) => page.indexOf(text));
    expect(heed).toBeGreaterThan(0);
    expect(answer).toBeGreaterThan(heed!);
    expect(cautions).toBeGreaterThan(answer!);
    expect(glance).toBeGreaterThan(cautions!);
    expect(page.match(/ id="section-\d+"/g)).toEqual([' id="section-0"', ' id="section-1"']);
  });
});
