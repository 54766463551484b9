import { describe, expect, test } from "vitest";
import {
  cardEnthalpy,
  depositionEfficiencies,
  materialCard,
  materialCards,
  nominalEfficiencies,
  physicalEfficiencies,
  sourced,
  wireShareCeiling,
  withOverrides,
} from "../../../lib/process/index.js";

describe.each(materialCards.map((card) => [card.id, card] as const))("card %s", (_id, card) => {
  test("carries a source beside every value, and says which are from memory", () => {
    for (const value of Object.values(card.properties)) {
      expect(value.source.length).toBeGreaterThan(3);
      expect(value.source.includes("from memory")).toBe(value.basis === "from memory");
    }
  });

  test("is physically in order", () => {
    const { solidus, liquidus, meltTemperature, specificHeat, meanSpecificHeat, density } = card.properties;
    expect(solidus.value).toBeLessThan(liquidus.value);
    expect(meltTemperature.value).toBeGreaterThanOrEqual(solidus.value);
    expect(meanSpecificHeat.value).toBeGreaterThan(specificHeat.value);
    expect(density.value).toBeGreaterThan(2);
    for (const { value, range } of Object.values(card.properties)) {
      if (range !== undefined) expect(range[0] <= value && value <= range[1]).toBe(true);
    }
  });

  test("is found by AWS and ISO name, with or without the standard in front", () => {
    const [aws, iso] = card.standards;
    for (const name of [
      card.id,
      card.id.toLowerCase(),
      `${aws} ${card.id}`,
      card.iso,
      `${iso} ${card.iso}`,
    ]) {
      expect(materialCard(name).id).toBe(card.id);
    }
  });
});

test("there is a card for each common wire", () => {
  expect(materialCards.map(({ id }) => id)).toEqual([
    "ER70S-6",
    "ER308L",
    "ER316L",
    "ER4043",
    "ER4047",
    "ER5356",
    "ER5183",
    "ERNiCrMo-3",
    "ERNiCr-3",
    "ERCuSi-A",
    "ERTi-5",
  ]);
});

test("the user's values win and say so; the card itself stays as it was", () => {
  const own = materialCard("ER70S-6", {
    meanSpecificHeat: 700,
    latentHeat: { value: 280, source: "own calorimeter, March" },
  });
  expect(own.properties.meanSpecificHeat).toEqual({
    value: 700,
    unit: "J/(kg K)",
    basis: "user",
    source: "set by the user",
  });
  expect(own.properties.latentHeat.source).toBe("own calorimeter, March");
  expect(own.properties.density).toEqual(materialCard("ER70S-6").properties.density);
  expect(cardEnthalpy(own)).toBeGreaterThan(cardEnthalpy(materialCard("ER70S-6")));
  expect(materialCard("ER70S-6").properties.meanSpecificHeat.value).toBe(680);
});

test("faults are named", () => {
  expect(() => materialCard("E7018")).toThrow(/no material card for "E7018"; there are cards for ER70S-6/);
  expect(() => materialCard("ER70S-6", { densty: 7 } as object)).toThrow(/has no "densty"; it has density/);
  expect(() => materialCard("ER70S-6", { density: Number.NaN })).toThrow(/density: your value/);
});

test("every default from memory says so in its source", () => {
  const tables = [nominalEfficiencies, physicalEfficiencies, depositionEfficiencies, wireShareCeiling];
  for (const value of tables.flatMap((table) => Object.values(table))) {
    expect(value.source.includes("from memory")).toBe(value.basis === "from memory");
  }
  expect(sourced(1, "1", "from memory", "trade").source).toBe("trade, from memory");
  expect(withOverrides(wireShareCeiling, { onPlate: 0.31 }).onPlate.value).toBe(0.31);
  expect(withOverrides(wireShareCeiling, { onPlate: 0.31 }).onHotWall).toBe(wireShareCeiling.onHotWall);
});
