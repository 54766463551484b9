import type { ChartSpec } from "../charts/index.js";
import type { Finding } from "../errors/index.js";

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

/** A part of the report; its contents appear in the order of the fields. */
export interface ReportSection {
  readonly heading: string;
  readonly paragraphs?: readonly string[];
  readonly keyFigures?: readonly KeyFigure[];
  readonly findings?: readonly Finding[];
  readonly tables?: readonly ReportTable[];
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
