import { afterEach, expect, test } from "vitest";
import { type Clock, verifyJournal } from "../../lib/study/journal/index.js";
import {
  appendEntries,
  dayOfLogging,
  openStudy,
  recoverStudy,
  type Study,
} from "../../lib/study/record/index.js";
import { newFolder, newStudy } from "../study/support.js";
import { fc } from "../support/properties.js";

const zone = process.env.TZ;
afterEach(() => {
  if (zone === undefined) delete process.env.TZ;
  else process.env.TZ = zone;
});

const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };
const log = (study: Study, clock: Clock): Study =>
  appendEntries(study, [{ kind: "logged", values: { ...settings, bead_width: 5 } }], { clock });

test("whatever a clock shows, entries keep the order they were written in, and are sound", () => {
  const moment = fc.date({ min: new Date("1970-01-01"), max: new Date("9999-12-31"), noInvalidDate: true });
  fc.assert(
    fc.property(fc.array(moment, { minLength: 2, maxLength: 6 }), (moments) => {
      let study = newStudy();
      for (const at of moments) study = log(study, () => at);
      expect(study.coupons.map(({ id }) => id)).toEqual(moments.map((_, i) => `C00${i + 1}`));
      expect(study.entries.map(({ time }) => time)).toEqual(moments.map((at) => at.toISOString()));
      expect([study.integrity, verifyJournal(study.folder).faults]).toEqual([[], []]);
      const { kept, lost } = recoverStudy(study.folder, `${newFolder()}/anew`, { clock: () => moments[0]! });
      expect([kept, lost]).toEqual([moments.length, []]);
    }),
    { seed: 7, numRuns: 15 },
  );
});

// IANA time zone data: clocks of New York go back at 06:00 UTC on 2026-11-01; Apia left 2011-12-30 out.
test.each([
  ["America/New_York", ["2026-11-01T05:30:00Z", "2026-11-01T06:30:00Z"], ["2026-11-01", "2026-11-01"]],
  ["Pacific/Apia", ["2011-12-30T09:59:00Z", "2011-12-30T10:01:00Z"], ["2011-12-29", "2011-12-31"]],
  ["No/Such_Zone", ["2026-11-01T05:30:00Z"], ["2026-11-01"]],
])("in the time zone %s the day of a coupon is that of the wall", (name, moments, days) => {
  process.env.TZ = name;
  let study = newStudy();
  const found = moments.map((moment) => {
    const at = new Date(moment);
    study = log(study, () => at);
    return dayOfLogging({ study, coupon: study.coupons.at(-1)!.id, now: at }).day;
  });
  expect(found).toEqual(days);
  expect(openStudy(study.folder).integrity).toEqual([]);
});
