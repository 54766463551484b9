import { expect, test } from "vitest";
import { chartGrowth, drawGrowth, drawIncidents } from "../../lib/charts/index.js";
import { growthOfIncidents, judgeIncidents } from "../../lib/endurance/index.js";
import { createRingStudy } from "../../lib/study/index.js";
import { newFolder } from "../study/support.js";

const study = createRingStudy(newFolder());

/** Every mark of text in a chart, with where it stands. */
function labelsOf(chart: unknown): { at: number; name: string }[] {
  const layers = JSON.parse(JSON.stringify(chart)).layer as {
    mark: { type?: string };
    data: { values: [] };
  }[];
  return layers.filter(({ mark }) => mark.type === "text").flatMap(({ data }) => data.values);
}

test("names of changes made at nearly the same running do not lie on each other", () => {
  const labels = labelsOf(
    chartGrowth({
      what: "All",
      running: "Arc time (h)",
      times: [1, 5],
      end: 10,
      marks: [
        { at: 4.1, name: "cup" },
        { at: 4, name: "firmware" },
        { at: 4, name: "firmware" },
        { at: 8, name: "cup" },
      ],
    }),
  );
  expect(labels).toEqual([
    { at: 4, name: "firmware, cup" },
    { at: 8, name: "cup" },
  ]);
});

test("what the rig began with is not marked as a change, and every later change is", () => {
  const growth = growthOfIncidents(study, { per: "arc_time" });
  const labels = labelsOf(drawGrowth(study, growth));
  const at = labels.map((label) => label.at);
  expect(Math.min(...at)).toBeGreaterThan(0);
  for (const [i, place] of at.slice(1).entries()) expect(place - at[i]!).toBeGreaterThan(0.02 * growth.end);
  expect(labels.map(({ name }) => name).join()).toMatch(/firmware, wire spool/);
});

test("an incident seen once is told as once", () => {
  const text = JSON.stringify(drawIncidents(judgeIncidents(study)));
  expect(text).toContain("once, 1 scrapped");
  expect(text).not.toMatch(/\b1 times/);
});
