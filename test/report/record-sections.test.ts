import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { recordSection } from "../../lib/report/record-sections.js";
import { appendEntries, createDemoStudy, scratchFolder } from "../../lib/study/index.js";

describe("recordSection", () => {
  test("lists the time an incident lost, in the unit it was told in, and nothing where it was not told", () => {
    const study = createDemoStudy(join(scratchFolder(), "rings"));
    const { tables } = recordSection(
      appendEntries(study, [
        {
          kind: "incident",
          what: "cylinder_empty",
          outcome: "resumed",
          lostTime: { value: 1.5, unit: "h" },
          note: "no spare",
        },
        { kind: "incident", what: "arc_wandered", outcome: "carried_on" },
      ]),
    );
    const details = tables!.find(({ caption }) => caption === "Changes and incidents")!.rows;
    const detailOf = (what: string) => details.find((row) => row[1] === what)![3];
    expect(detailOf("cylinder empty")).toBe("resumed; lost 1.5 h; no spare");
    expect(detailOf("arc wandered")).toBe("carried on");
  });
});
