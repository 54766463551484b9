import type { ReportDocument } from "../../lib/report/index.js";
import { frozen, samples } from "../charts/samples.js";

/** An invented report with one of everything, and every chart. */
export const sampleReport: ReportDocument = frozen({
  title: "Wear ring rebuild: study report",
  subtitle: "Invented example; 32 coupons, TIG cold wire, 1.0 mm stainless wire",
  cautions: [
    "Arc radiation, fume, electric shock, hot metal and inert gas in low places can injure or kill. Local codes and licensed practice come first.",
    "A preset is a starting point for a trial on scrap, not a qualified procedure.",
  ],
  sections: [
    {
      heading: "Recommended settings",
      paragraphs: ["The setting of highest chance to conform, with the ranges that keep it above 90 %."],
      keyFigures: [
        { label: "Current", value: "121 A", note: "keep 113 to 129 A" },
        { label: "Travel speed", value: "3.6 mm/s", note: "keep 3.2 to 4.0 mm/s" },
        { label: "Wire feed speed", value: "20 mm/s", note: "keep 16 to 24 mm/s" },
        { label: "Chance to conform", value: "98 %" },
      ],
      charts: [
        { spec: samples["window-ranges"]!(), caption: "Window of each setting." },
        { spec: samples.conformance!(), caption: "Chance to conform over current and travel speed." },
        { spec: samples["chance-profiles"]!(), caption: "How the chance falls off along each setting." },
      ],
    },
    {
      heading: "What to look at",
      findings: [
        { code: "repeats", severity: "info", message: "Five centre repeats give the pure error 0.21 mm." },
        {
          code: "confounded",
          severity: "warning",
          message: "Current and arc voltage moved together (correlation 0.93).",
          advice: "Run four coupons that break the pattern: high current with short arc, and the reverse.",
        },
        {
          code: "unit-slip",
          severity: "error",
          message: "Coupon C17: width 0.24 mm is 25 times below its mass balance.",
          advice: "Check whether it was entered in inches.",
        },
      ],
      charts: [{ spec: samples.correlations!(), caption: "Which factors moved together." }],
    },
    {
      heading: "Fit of bead width",
      tables: [
        {
          caption: "Exponents of the power law",
          columns: [
            { heading: "Setting" },
            { heading: "Estimate", numeric: true },
            { heading: "Standard error", numeric: true },
            { heading: "95 % interval", numeric: true },
            { heading: "What it says" },
          ],
          rows: [
            ["Current", "0.83", "0.06", "0.71 to 0.95", "Wider with more current, nearly in proportion"],
            ["Travel speed", "−0.46", "0.03", "−0.52 to −0.40", "Narrower when faster"],
            ["Wire feed speed", "0.14", "0.04", "0.06 to 0.22", "A little wider with more wire"],
          ],
        },
      ],
      charts: Object.keys(samples)
        .filter((name) => !["window-ranges", "conformance", "chance-profiles", "correlations"].includes(name))
        .map((name) => ({ spec: samples[name]!(), caption: `The ${name} chart.` })),
    },
  ],
  provenance: ["Made by Beadbench 0.1.0 from study wear-ring, 58 journal entries, seed 7."],
});
