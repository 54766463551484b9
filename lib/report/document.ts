import type { ChartSpec } from "../charts/index.js";
import type { Finding } from "../errors/index.js";
import type { ExplorerData } from "./explorer/index.js";

/** One figure that matters, set large: `{ label: "Chance to conform", value: "94 %", note: "95 % interval 88 to 97 %" }`. */
export interface KeyFigure {
  readonly label: string;
  readonly value: string;
  readonly note?: string;
}

/** A table of text; the first column heads its rows. */
export interface ReportTable {
  readonly caption: string;
  /** Numeric columns are set flush right. */
  readonly columns: readonly { readonly heading: string; readonly numeric?: boolean }[];
  /** Cells as they are to be printed, one per column. */
  readonly rows: readonly (readonly string[])[];
}

/** A chart with its caption. */
export interface ReportChart {
  readonly spec: ChartSpec;
  readonly caption: string;
}

/** A statement with the parts of the report that it rests on. */
export interface ReportClaim {
  readonly text: string;
  /** What is found there, and the `key` of the section. */
  readonly evidence: readonly { readonly text: string; readonly key: string }[];
}

/** A part of the report; its contents appear in the order of the fields. */
export interface ReportSection {
  readonly heading: string;
  /** Small letters and hyphens, unlike any other section's: what claims name it by. */
  readonly key?: string;
  /** What its numbers rest on: how many coupons, which model, which kind of interval. */
  readonly basis?: string;
  readonly paragraphs?: readonly (string | ReportClaim)[];
  readonly keyFigures?: readonly KeyFigure[];
  readonly findings?: readonly Finding[];
  readonly tables?: readonly ReportTable[];
  /** A model to walk through; the charts of the section stand in its place where scripts are off, and on paper. One per report. */
  readonly explorer?: ExplorerData;
  readonly charts?: readonly ReportChart[];
}

/** A report as plain data; every text is plain text, not markup. */
export interface ReportDocument {
  readonly title: string;
  readonly subtitle?: string;
  /** What the reader came for, in few words; the cautions are announced before it and follow it. */
  readonly answer?: ReportSection;
  /** Safety cautions, shown before everything but the answer. */
  readonly cautions: readonly string[];
  readonly sections: readonly ReportSection[];
  /**
   * Set in two columns on paper, so that a forecast or a sheet fits on one: `dense` to be read, `to write on` with room in
   * empty cells. Default neither.
   */
  readonly onePaper?: "dense" | "to write on";
  /** Where the figures come from: study, journal state, seed, version. */
  readonly provenance?: readonly string[];
}
