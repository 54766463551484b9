import { describe, expect, test } from "vitest";
import { isDefectName, readVerdict, verdictWord } from "../../../lib/study/definition/index.js";
import {
  appendEntries,
  createStudy,
  draftDefinitionFromCsv,
  exportCsv,
  importCsv,
  parseStudyDefinition,
  resultOf,
} from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";
import { faultsOf, newFolder } from "../support.js";

const options = { name: "defects", process: "141" } as const;
const sheet = (heading: string, cells: readonly string[]): string =>
  [`coupon,current [A],${heading}`, ...cells.map((cell, i) => `Q${i + 1},${100 + 10 * i},${cell}`)].join(
    "\n",
  );
const verdicts = (csv: string, definition = draftDefinitionFromCsv(csv, options).definition) =>
  importCsv(createStudy(newFolder(), definition), csv).study.coupons.map((coupon) => {
    const [name] = definition.responses.map((response) => response.name);
    const result = resultOf(coupon, name!);
    return result?.kind === "passFail" ? result.passed : undefined;
  });

describe("a yes under a defect is no praise", () => {
  test.each(["spatter", "porosity", "Cracks", "edge undercut", "burn-through", "lack of fusion", "pores"])(
    "%s: yes is bad, and said so",
    (heading) => {
      const csv = sheet(heading, ["yes", "no", "no"]);
      expect(verdicts(csv)).toEqual([false, true, true]);
      expect(draftDefinitionFromCsv(csv, options).notes.join("\n")).toMatch(
        /names a defect: taken as pass\/fail, where no is good/,
      );
    },
  );

  test.each(["sound bead", "no spatter", "free_of_pores", "crack_free", "porosity_ok"])(
    "%s: yes is good",
    (heading) => {
      expect(verdicts(sheet(heading, ["yes", "no", "no"]))).toEqual([true, false, false]);
    },
  );

  test("words that judge by themselves mean what they say, under a defect too", () => {
    const csv = sheet("spatter", ["pass", "nok", "good"]);
    expect(verdicts(csv)).toEqual([true, false, true]);
  });

  test("a study that does not say which answer is good takes words that judge, and refuses the others", () => {
    const definition = parseStudyDefinition({
      schema: "beadbench/study/1",
      name: "by hand",
      process: "141",
      factors: [{ name: "current", unit: "A", low: 100, high: 120 }],
      responses: [{ name: "spatter", kind: "passFail" }],
    });
    const faults = faultsOf(() => verdicts(sheet("spatter", ["yes", "fail", "pass"]), definition));
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatch(/line 2, "spatter": may mean that there is spatter or that the bead passed/);
    expect(verdicts(sheet("spatter", ["fail", "fail", "pass"]), definition)).toEqual([false, false, true]);
  });

  test("the verdicts come back from an export as they were", () => {
    const csv = sheet("porosity", ["yes", "no", "no"]);
    const { definition } = draftDefinitionFromCsv(csv, options);
    const { study } = importCsv(createStudy(newFolder(), definition), csv);
    const again = exportCsv(study);
    expect(verdicts(again, definition)).toEqual([false, true, true]);
  });

  test("only a verdict has a good answer", () => {
    const raw = { name: "width", unit: "mm", good: "no" };
    expect(
      faultsOf(() =>
        parseStudyDefinition({
          schema: "beadbench/study/1",
          name: "by hand",
          process: "141",
          factors: [{ name: "current", unit: "A", low: 100, high: 120 }],
          responses: [raw],
        }),
      )[0],
    ).toMatch(/"responses\[0\]\.good": only a passFail response has a good answer/);
  });

  test("verdictWord writes what readVerdict reads", () => {
    fc.assert(
      fc.property(
        fc.constantFrom("spatter", "sound", "no_cracks"),
        fc.constantFrom("yes", "no", undefined),
        fc.boolean(),
        (name, good, passed) => {
          const response = { name, ...(good === undefined ? {} : { good }) };
          expect(readVerdict(response, verdictWord(response, passed))).toBe(passed);
        },
      ),
    );
  });

  test("settings and sizes are no defects", () => {
    for (const name of ["sound_bead", "bead_width", "gas_flow", "wetting", "arc_start", "hole_free"])
      expect(isDefectName(name), name).toBe(false);
  });
});

describe("text becomes a factor or a block where it is named as one", () => {
  const csv = [
    "coupon,current [A],gas,welder,camera,bead_width [mm]",
    "P1,100,argon,Ilse,7,5",
    "P2,110,argon + 2 % H2,Ole,8,5.5",
    "P3,120,argon,Ole,7,6",
  ].join("\n");

  test("--settings makes a category, --blocks a block, of words or of numbers", () => {
    const { definition, notes } = draftDefinitionFromCsv(csv, {
      ...options,
      settings: ["gas"],
      blocks: ["welder", "camera"],
    });
    expect(definition.factors[1]).toMatchObject({
      name: "gas",
      kind: "category",
      levels: ["argon", "argon + 2 % H2"],
    });
    expect(definition.blocks).toEqual(["welder", "camera"]);
    expect(notes).toContain(
      "gas is one of argon, argon + 2 % H2: taken as a factor of names, as --settings says",
    );
    const { study } = importCsv(createStudy(newFolder(), definition), csv);
    expect(study.coupons[1]).toMatchObject({
      settings: { current: 110, gas: "argon + 2 % H2" },
      blocks: { welder: "Ole", camera: "8" },
    });
  });

  test("says of text that nobody named how to name it", () => {
    const { notes } = draftDefinitionFromCsv(csv.replace("camera", "camera [1]"), options);
    expect(notes).toContain(
      "welder holds text: kept as a note on each coupon; if set, add --settings welder, if a day or the like, --blocks welder",
    );
  });

  test.each([
    [{ responses: ["gas"] }, '"gas": holds text: a result is a number with a unit, or yes and no'],
    [{ blocks: ["current"] }, '"current [A]": holds numbers with a unit, which no block does'],
    [{ blocks: ["gaz"] }, "is no column of the file"],
  ])("refuses %j", (stated, fault) => {
    const text = csv.replace("camera", "camera [1]");
    expect(faultsOf(() => draftDefinitionFromCsv(text, { ...options, ...stated })).join("\n")).toContain(
      fault,
    );
  });

  test("refuses a name written in two ways", () => {
    const twice = csv.replace("P3,120,argon", "P3,120,Argon").replace("camera", "camera [1]");
    expect(faultsOf(() => draftDefinitionFromCsv(twice, { ...options, settings: ["gas"] }))[0]).toMatch(
      /"gas": is written in two ways \(Argon, argon\)/,
    );
  });
});

describe("a process without wire", () => {
  const raw = {
    schema: "beadbench/study/1",
    name: "remelting",
    process: "142",
    factors: [{ name: "current", unit: "A", low: 100, high: 120 }],
    responses: [{ name: "bead_width", unit: "mm" }],
  };

  test("needs none in study.json", () => {
    expect(parseStudyDefinition(raw).wire).toBeUndefined();
    const study = createStudy(newFolder(), raw);
    expect(
      appendEntries(
        study,
        [
          {
            kind: "logged",
            coupon: "A",
            values: { current: 110, bead_width: 5 },
            units: { current: "A", bead_width: "mm" },
          },
        ],
        {
          clock: () => new Date(0),
        },
      ).coupons,
    ).toHaveLength(1);
  });

  test("is refused where a feed is set", () => {
    const fed = { ...raw, rig: { settings: { wire_feed_speed: "2 m/min" } } };
    expect(faultsOf(() => parseStudyDefinition(fed))[0]).toMatch(
      /"wire": is missing, though wire_feed_speed is set/,
    );
  });
});
