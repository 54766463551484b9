import { describe, expect, test } from "vitest";
import { requireNumber } from "../../../lib/errors/index.js";
import {
  buildOutcomeModel,
  type OutcomeModelOptions,
  type PriorName,
  priors,
} from "../../../lib/models/index.js";
import { usualPriors } from "../../../lib/models/priors/index.js";
import { type Coupon, parseStudyDefinition, type StudyDefinition } from "../../../lib/study/index.js";
import { findWindow } from "../../../lib/window/index.js";
import { coupon, simulatedBeads, tigDefinition } from "../../support/studies.js";

const names = Object.keys(priors) as PriorName[];
const believed = (definition: StudyDefinition, own?: OutcomeModelOptions["priors"]) =>
  buildOutcomeModel({ definition, coupons: [] }, { draws: 2, ...(own && { priors: own }) });

/** Studies that between them rest on every prior. */
const beads = simulatedBeads(3, 4, 0.03);
const judged = (passed: boolean): readonly Coupon[] => [
  coupon("J1", { settings: beads[0]!.settings, passed: { sound_bead: passed } }),
];
const size = (name: string, unit = "mm") => ({ name, unit, kind: "measured" });
const tig = tigDefinition();
const wire = { classification: "ER70S-6", diameter: "1.2 mm" };
const fedFactors = [
  { name: "wire_feed_speed", unit: "m/min", low: 4, high: 8 },
  { name: "travel_speed", unit: "mm/min", low: 200, high: 600 },
  { name: "arc_voltage", unit: "V", low: 16, high: 24 },
  { name: "standoff", unit: "mm", low: 10, high: 18 },
];
const studies: readonly (readonly [StudyDefinition, readonly Coupon[], OutcomeModelOptions?])[] = [
  [tig, beads],
  [
    tig,
    beads,
    {
      known: [
        { settings: { current: 140 }, good: true, measured: { bead_width: 5.5 } },
        { settings: beads[0]!.settings, good: false },
      ],
    },
  ],
  [tig, judged(false), { older: { definition: tig, coupons: [...beads, ...judged(true)] } }],
  [
    tigDefinition({
      factors: [
        { name: "current", unit: "A", low: 100, high: 200 },
        { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
        { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
        { name: "arc_voltage", unit: "V", low: 10, high: 14 },
        { name: "standoff", unit: "mm", low: 2, high: 5 },
        { name: "tilt", unit: "deg", low: 0, high: 20 },
        { name: "tip", kind: "category", levels: ["fresh", "worn"] },
      ],
      responses: [
        size("bead_width"),
        size("wall_height_is_not_known", "mm"),
        size("bead_area", "mm2"),
        size("bead_height"),
        { ...size("penetration"), scale: "log" },
        { ...size("gloss", "1"), scale: "log" },
        size("waviness", "1"),
        { name: "sound", kind: "passFail" },
      ],
    }),
    [],
  ],
  [tigDefinition({ responses: [size("wall_width"), size("layer_height")] }), []],
  [tigDefinition({ responses: [size("bead_height")] }), []],
  [tigDefinition({ process: "135", wire, factors: fedFactors }), []],
  [tigDefinition({ process: "135", wire }), []],
  [tigDefinition({ process: "521", factors: tig.factors.filter(({ name }) => name !== "current") }), []],
  [
    tigDefinition({
      wire: { classification: "ER4043", diameter: "1.2 mm" },
      factors: tig.factors.filter(({ name }) => name !== "current"),
    }),
    [],
  ],
];
const modelsOf = (own: OutcomeModelOptions["priors"]) =>
  studies.map(
    ([definition, coupons, options]) =>
      () =>
        JSON.stringify({
          ...buildOutcomeModel({ definition, coupons }, { draws: 2, ...options, priors: own! }),
          findings: [],
        }),
  );

describe("priors", { timeout: 30_000 }, () => {
  test.each(names)("%s has a meaning, a source and a usual value that may stand, and is not idle", (name) => {
    const { meaning, source, value, bounds } = priors[name];
    expect(meaning.length).toBeGreaterThan(15);
    expect(source.length).toBeGreaterThan(5);
    expect(requireNumber(name, value, bounds)).toBe(value);
    const usual = modelsOf({ [name]: value });
    // The greatest shares are seldom reached unless they are small.
    const changed =
      name === "lapse_most" || name === "verdict_luck_most" ? 0.001 : value === 0 ? 0.1 : 0.9 * value;
    const other = modelsOf({ [name]: changed });
    expect(usual.some((make, i) => make() !== other[i]!())).toBe(true);
  });

  test("stated in study.json or given to the model they do the same, and the results say so", () => {
    const stated = tigDefinition({ priors: { width_sd: 0.6, start_temperature: "212 degF" } });
    const said = believed(stated);
    const given = believed(tig, { width_sd: 0.6, start_temperature: 100 });
    expect(said.latent).toEqual(given.latent);
    expect(said.latent.priors[0]!.constantSd).toBe(0.6);
    expect(believed(tig).latent.priors[0]!.constantSd).toBe(usualPriors.width_sd);
    const words = "width_sd 0.600 (usual 0.400), start_temperature 100 degC (usual 20.0 degC)";
    const finding = findWindow(said).findings.find(({ code }) => code === "priors-changed");
    expect(finding?.message).toContain(words);
    expect(finding?.about).toEqual(["width_sd", "start_temperature"]);
    expect(believed(tig).findings.map(({ code }) => code)).not.toContain("priors-changed");
  });

  test("the model's options go before study.json", () => {
    const stated = tigDefinition({ priors: { width_sd: 0.6 } });
    expect(believed(stated, { width_sd: 0.3 }).latent.priors[0]!.constantSd).toBe(0.3);
  });

  test("a study's own handbook values reach the physics", () => {
    // A twentieth less metal stays: ln of the section falls by -ln 0.95 of what it was at 1.
    const kept = (share: number) => {
      const { latent } = believed(tigDefinition({ priors: { deposition_efficiency: share } }));
      return latent.links[1]!.offset.constant;
    };
    expect(Math.abs(kept(1) - kept(0.95) + Math.log(0.95))).toBeLessThan(1e-12);
    const light = believed(
      tigDefinition({ priors: { wire_density: "2700 kg/m3", wire_enthalpy: "3 J/mm3" } }),
    );
    expect(light.findings[0]!.message).toMatch(
      /wire_enthalpy 3\.00 J\/mm3 \(usual .*\), wire_density 2\.70 g\/cm3 \(usual /,
    );
  });

  test("names, units and values that cannot be are all listed, with the nearest name", () => {
    const wrong = tigDefinition({
      priors: { widht_sd: 0.3, electrode_extension: 15, lapse: 1.2, wire_density: "3 mm", xyzzy: 1 },
    });
    let message = "";
    try {
      believed(wrong);
    } catch (error) {
      message = (error as Error).message;
    }
    expect(message).toContain('study.json, "priors.widht_sd": is no prior; did you mean "width_sd"?');
    expect(message).toContain(
      '"priors.electrode_extension": must be a quantity in a unit like mm, got "15 1"',
    );
    expect(message).toContain('"priors.lapse": lapse must be above 0 and below 1, got 1.2');
    expect(message).toContain('"priors.wire_density": must be a quantity in a unit like g/cm3, got "3 mm"');
    expect(message).toContain('"priors.xyzzy": is no prior; known are width_sd,');
    expect(() => believed(tig, { widht_sd: 1 } as never)).toThrow(
      'no prior "widht_sd"; did you mean "width_sd"?',
    );
    expect(() => believed(tig, { width_sd: -1 })).toThrow("prior width_sd must be above 0");
    expect(() => parseStudyDefinition({ ...tig, priors: { width_sd: "wide" } })).toThrow("priors.width_sd");
  });
});

describe("latentModel", () => {
  test("gives every response the same hidden quantity in whatever order the study lists them", () => {
    const turned = tigDefinition({ responses: [...tig.responses].reverse() });
    const [one, other] = [believed(tig).latent, believed(turned).latent];
    expect(other.priors.map(({ role }) => role)).toEqual(["fullness", "width"]);
    for (const link of one.links) {
      const same = other.links.find(({ response }) => response === link.response)!;
      expect(other.priors[same.own]).toEqual(one.priors[link.own]);
      const byRole = ({ priors: all }: typeof one, { coefficients }: typeof link) =>
        Object.fromEntries(all.map(({ role }, l) => [role, coefficients[l]]));
      expect(byRole(other, same)).toEqual(byRole(one, link));
    }
    const [first, last] = [
      buildOutcomeModel({ definition: tig, coupons: beads }),
      buildOutcomeModel({ definition: turned, coupons: beads }),
    ];
    expect(last.posteriors[1]!.weights).toEqual(first.posteriors[0]!.weights);
  });
});
