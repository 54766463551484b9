import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { buildOutcomeModel } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  type ExplorerData,
  explorerData,
  explorerHtml,
  packData,
  unpackData,
  whereText,
} from "../../../lib/report/explorer/index.js";
import { conformance, foreseeCoupons, makeExplorer, makeTried } from "../../../lib/window/index.js";
import { anySetting, exploredStudies } from "./studies.js";

const made = exploredStudies.map((study) => {
  const model = buildOutcomeModel(study, { seed: 5 });
  const { axes } = makeExplorer(model);
  const middle = axes.map(({ name, unit, values }) => ({
    factor: name,
    unit,
    value: values[values.length >> 1]!,
  }));
  const data = explorerData(study, model, { best: { settings: middle }, level: 0.8 });
  return { ...study, model, data, carried: unpackData(packData(data)) as ExplorerData };
});

describe.each(made)("the explorer of a study with $name", ({ definition, coupons, model, data, carried }) => {
  test("foretells from what the page carries what the library foretells, to the last bit", () => {
    const stream = randomStream(11);
    const settings = Array.from({ length: 25 }, () => anySetting(definition, () => stream.uniform()));
    const explorer = makeExplorer(carried.model);
    const foreseen = foreseeCoupons(model, settings);
    const chances = conformance(model, settings);
    settings.forEach((setting, i) => {
      const found = explorer.at(setting);
      expect(found.conformance).toEqual(chances[i]);
      expect(found.responses).toEqual(
        foreseen[i]!.responses.map((one) => ({ ...one, chance: chances[i]!.perResponse[one.response] })),
      );
      const alone = explorer.chance(setting);
      if (alone >= 1e-3) expect(Math.abs(alone - chances[i]!.chance)).toBeLessThan(1e-12);
    });
  });

  test("starts at the setting it is given, and says what it is told about where that lies", () => {
    expect(carried.start).toEqual(data.start);
    const { axes, broken } = makeExplorer(carried.model);
    const where = makeTried(axes, carried.tried)(carried.start);
    const texts = whereText(where, broken(carried.start), axes).map(({ text }) => text);
    expect(texts.join(" ")).toContain(
      coupons.length === 0 ? "No coupon has been run" : "Nearest coupon run: C",
    );
  });

  test("ends no element of its page but by its own tags, and keeps a page small", () => {
    const html = explorerHtml(data);
    expect(html.match(/<\/script/g)).toHaveLength(1);
    expect(html).not.toContain("<b ");
    expect(html.length).toBeLessThan(900_000);
    const ids = [...html.matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!);
    expect(new Set(ids).size).toBe(ids.length);
    for (const [, id] of html.matchAll(/ for="([^"]+)"/g)) expect(ids).toContain(id);
  });
});

describe("packed data", () => {
  test("comes back as it was, whatever numbers and texts are in it", () => {
    const anything = fc.record({
      long: fc.array(fc.double(), { minLength: 8, maxLength: 20 }),
      short: fc.array(fc.integer(), { maxLength: 5 }),
      text: fc.string({ unit: "binary" }),
      nested: fc.array(
        fc.record({ name: fc.constantFrom("</script>", "f64", "a"), row: fc.array(fc.integer()) }),
      ),
    });
    fc.assert(
      fc.property(anything, (data) => {
        const packed = packData(data);
        expect(packed).not.toContain("<");
        expect(unpackData(packed)).toEqual(data);
      }),
    );
  });
});
