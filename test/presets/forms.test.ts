import { parse } from "csv-parse/sync";
import { describe, expect, test } from "vitest";
import {
  formatPreset,
  makePreset,
  type Preset,
  parsePreset,
  presetCsv,
  presetDoubts,
  presetFormats,
  presetThroughTemplate,
  rigCautions,
  writePreset,
} from "../../lib/presets/index.js";
import { faultsOf } from "../study/support.js";
import { fc } from "../support/properties.js";
import { made, plainMachine, proven, recommendation, triedStudy, weak } from "./sample.js";

const template =
  "{{#cautions}}; {{.}} {{mark}}\n{{/cautions}}{{#settings}}{{name}}={{value}} {{mark}}\n{{/settings}}";
const inputs = { machine: plainMachine, template: { template } };
const formats = Object.keys(presetFormats) as (keyof typeof presetFormats)[];

describe("a preset in doubt", () => {
  const none = makePreset(triedStudy(), { ...recommendation, coupons: 0 }, made);
  const beyond = makePreset(
    triedStudy(),
    {
      ...recommendation,
      settings: recommendation.settings.map((one) =>
        one.factor === "current" ? { ...one, value: 149 } : one,
      ),
    },
    made,
  );

  test("is one from no coupons, with a chance below its level, or set beyond every coupon", () => {
    expect(presetDoubts(proven)).toEqual([]);
    expect(presetDoubts(weak)).toEqual(["has a chance of 5 %, asked 90 %"]);
    expect(presetDoubts(none)).toEqual(["rests on no coupon"]);
    expect(presetDoubts(beyond)).toEqual(["goes beyond what was tried: current 149 A (tried 100 to 140)"]);
  });

  test.each(formats)("is refused as %s, and written when asked for with its mark on every line", (format) => {
    for (const preset of [weak, none, beyond]) {
      expect(() => writePreset(preset, format, inputs)).toThrow(
        /not written for a rig: it (rests|has|goes)\b([^;]|; it (rests|has|goes)\b)*; --unproven/,
      );
      const { text } = writePreset(preset, format, { ...inputs, unproven: true });
      if (format === "preset-json") {
        const { settings, held, sequence, predicted, window } = parsePreset(text);
        const rows = [
          ...settings,
          ...held,
          ...sequence.start,
          ...sequence.stop,
          ...predicted,
          ...window.ranges,
        ];
        for (const row of rows) expect(row.mark, row.name).toMatch(/^UNPROVEN/);
      } else
        for (const line of text
          .trimEnd()
          .split("\n")
          .slice(format === "preset-csv" ? 1 : 0))
          expect(line, format).toContain("UNPROVEN");
    }
    expect(writePreset(proven, format, inputs).text).not.toContain("UNPROVEN");
  });

  test("stays in doubt when its marks and findings are taken out by hand", () => {
    const cleaned = parsePreset(formatPreset(weak).replace(/,\s*"mark": "[^"]*"/g, ""));
    expect(cleaned.settings[0]!.mark).toBeUndefined();
    expect(() => writePreset(cleaned, "preset-json")).toThrow(/5 %/);
    expect(writePreset(cleaned, "preset-json", { unproven: true }).text).toContain('"mark": "UNPROVEN');
  });
});

test.each(formats)(
  "%s says in itself what it could not carry, and holds every caution, also those taken out by hand",
  (format) => {
    const bare: Preset = { ...proven, cautions: [] };
    const { text, lost } = writePreset(bare, format, inputs);
    // Forms for machines write commas and the like otherwise: the words count.
    const words = (line: string): string =>
      line
        .toLowerCase()
        .replace(/\(\.\. |\)\n|[^a-z]+/g, " ")
        .replace(/ +/g, " ");
    const whole = words(text.replace(/\)\n\(\.\. /g, " "));
    const cautions = rigCautions(bare);
    expect(cautions.join()).toMatch(/arc off.*unattended/);
    for (const caution of cautions) expect(whole, caution).toContain(words(caution).slice(0, 40).trim());
    if (format === "template") expect(lost.join()).toContain("predicted: bead_width, bead_height");
    else for (const what of lost) expect(whole).toContain(words(what).trim());
    if (format === "preset-json") expect(lost).toEqual([]);
    else expect(lost.length).toBeGreaterThan(0);
  },
);

describe("a preset as CSV", () => {
  const table = (text: string): Record<string, string>[] => parse(text, { columns: true });

  test("holds settings with units, steps and ranges, start and stop, what is foretold, and where it comes from", () => {
    const rows = table(presetCsv(proven).text);
    const row = (name: string) => rows.find(({ setting }) => setting === name)!;
    expect(row("current")).toMatchObject({
      value: "121",
      unit: "A",
      low: "113",
      high: "129",
      kind: "setting",
    });
    expect(row("wire_feed_speed")).toMatchObject({ value: "900", step: "20" });
    expect(row("cup")).toMatchObject({ value: "large", low: "large", high: "large" });
    expect(row("standoff")).toMatchObject({ value: "3", unit: "mm", kind: "held" });
    expect(row("down_slope")).toMatchObject({ value: "4", unit: "s", kind: "stop" });
    expect(row("bead_width")).toMatchObject({ value: "5.2", low: "4.8", high: "5.7", kind: "predicted" });
    expect(row("conforms_in_all")).toMatchObject({ value: "0.94", low: "0.88" });
    expect(row("journal").value).toBe(proven.basis.journal);
    expect(row("review_by").value).toBe("2026-10-01");
  });

  test("has no cell that a spreadsheet runs, whatever names, notes and cautions hold", () => {
    // OWASP, CSV Injection: cells that begin with = + - @, a tab or a carriage return.
    const hostile = fc
      .tuple(
        fc.constantFrom("=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "'=", "＝", ""),
        fc.string({ unit: "binary" }),
      )
      .map(([head, tail]) => `${head}${tail}`);
    fc.assert(
      fc.property(hostile, hostile, hostile, (name, word, note) => {
        const preset: Preset = {
          ...proven,
          study: name,
          settings: [{ name, value: word, unit: "1", tried: [word] }],
          held: [{ name: word, value: note, unit: name }],
          findings: [{ code: name, severity: "info", message: note }],
          cautions: [note],
        };
        const { text } = presetCsv(preset);
        const rows: string[][] = parse(text);
        for (const cell of rows.flat()) {
          expect(cell).not.toMatch(/^\s*[=+@＝＋－＠]|[\r\n\t]/);
          if (/^\s*-/.test(cell)) expect(Number(cell)).not.toBeNaN();
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe("a template of one's own", () => {
  test("is filled in, lists and single values, user's texts without anything that could be a command", () => {
    const preset: Preset = { ...proven, study: "ring; M3)\n%O100 <b>" };
    const { text } = presetThroughTemplate(preset, {
      template: `${template}I={{by_name.current.value}} {{by_name.current.unit}}|{{study}}|{{{study}}}\n`,
    });
    expect(text).toContain("current=121 \ntravel_speed=120 \n");
    expect(text).toContain("I=121 A|ring_ M3_ _O100 _b_|ring; M3) %O100 <b>\n");
  });

  test("is refused by line where a tag is unknown, misplaced, from another file, or not closed", () => {
    const faults = faultsOf(() =>
      presetThroughTemplate(proven, {
        template:
          "{{#cautions}}{{.}}{{/cautions}}\n{{curent}}\n{{value}}\n{{by_name.curent.value}}\n{{> part}}\n{{constructor}}\n",
        file: "mine.txt",
      }),
    );
    expect(faults.map((fault) => fault.slice(0, 11))).toEqual(
      [2, 3, 4, 5, 6].map((line) => `mine.txt:${line}:`.padEnd(11)),
    );
    expect(faults[2]).toContain('did you mean "current"?');
    expect(
      faultsOf(() => presetThroughTemplate(proven, { template: "a\n{{#settings}}\nb", file: "mine.txt" }))[0],
    ).toMatch(/mine\.txt:\d: a tag is open/);
  });

  test("must hold the cautions, and the mark of a preset in doubt on every line", () => {
    expect(() => presetThroughTemplate(proven, { template: "{{#settings}}{{name}}{{/settings}}" })).toThrow(
      /leaves the safety cautions out/,
    );
    expect(() => presetThroughTemplate(weak, { template: `${template}END\n`, file: "mine.txt" })).toThrow(
      /mine\.txt: this preset is unproven, and line \d+ .*\{\{mark\}\} on every line/,
    );
    expect(presetThroughTemplate(proven, { template: `${template}END\n` }).text).toMatch(/END\n$/);
  });

  test("says which of the preset it left out", () => {
    const { lost } = presetThroughTemplate(proven, { template: `${template}{{by_name.down_slope.value}}\n` });
    expect(lost.find((what) => what.startsWith("stop: "))).toBe(
      "stop: melt_back_delay, retract, end_current, post_flow",
    );
    expect(lost.some((what) => what.startsWith("settings"))).toBe(false);
  });
});
