/**
 * What page and server of the bench say to each other, as JSON. Types alone: both sides are compiled against them.
 */

/** A setting of a coupon as the page shows it. */
export interface BenchSetting {
  readonly name: string;
  readonly label: string;
  readonly value: number | string;
  readonly unit: string;
  /** Value with its unit. */
  readonly text: string;
}

/** Something read with a number on every coupon. */
export interface BenchMeasured {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  /** Decimals that are typed without a mark: those read so far, else those the gauge can tell. */
  readonly decimals: number;
  /** Readings usually taken along one bead. */
  readonly stations: number;
  /** Whether it may be below 0. */
  readonly signed: boolean;
  /** What a photo could tell of it. */
  readonly photo?: "length" | "area";
  /** What is good, in words; absent where the study does not say. */
  readonly good?: string;
}

/** Something judged with pass or fail on every coupon. */
export interface BenchVerdict {
  readonly name: string;
  readonly label: string;
  /** What a pass and a fail are called in this study, such as "spatter: no". */
  readonly pass: string;
  readonly fail: string;
}

/** A setting the study varies. */
export interface BenchFactor {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  /** The names to choose from; absent for numbers. */
  readonly levels?: readonly string[];
}

/** Something that may be told with one tap. */
export interface BenchChoice {
  readonly what: string;
  readonly label: string;
  /** How often this study logged it. */
  readonly count: number;
}

/** The range in which 19 of 20 such coupons lie, and its middle. */
export interface BenchForeseen {
  readonly median: number;
  readonly lower: number;
  readonly upper: number;
}

export interface BenchCoupon {
  readonly id: string;
  readonly state: "planned" | "logged";
  readonly role?: string;
  readonly settings: readonly BenchSetting[];
  readonly blocks: Readonly<Record<string, string>>;
  /** By measured response, of planned coupons. */
  readonly foreseen: Readonly<Record<string, BenchForeseen>>;
  /** What was logged, in words. */
  readonly results: readonly { readonly name: string; readonly label: string; readonly text: string }[];
  /** The readings logged, by measured response, in the study's unit. */
  readonly readings: Readonly<Record<string, readonly number[]>>;
  readonly notes: readonly string[];
  readonly photos: readonly string[];
  /** The last entry that logged something of it, which may be taken back. */
  readonly entry?: number;
  /** RFC 3339 time of that entry. */
  readonly time: string;
}

/** A block such as the day, with what the last coupon had and what may hold now. */
export interface BenchBlock {
  readonly name: string;
  readonly label: string;
  readonly last?: string;
  readonly suggested?: string;
}

/** Everything the page needs to log a day's coupons, also without a connection. */
export interface BenchDay {
  /** Tells studies apart: what was kept for one is never sent to another served at the same address. */
  readonly home: string;
  readonly study: string;
  /** The last entry of the journal. */
  readonly revision: number;
  readonly factors: readonly BenchFactor[];
  readonly measured: readonly BenchMeasured[];
  readonly verdicts: readonly BenchVerdict[];
  readonly blocks: readonly BenchBlock[];
  /** Planned coupons in run order. */
  readonly planned: readonly BenchCoupon[];
  /** The coupons logged last, the latest first. */
  readonly logged: readonly BenchCoupon[];
  readonly incidents: readonly BenchChoice[];
  readonly changes: readonly BenchChoice[];
  /** Trouble with the record, and what could not be foreseen. */
  readonly remarks: readonly string[];
}

/** Values of a coupon, in the units of the study unless they carry their own. */
export interface BenchValues {
  readonly values: Readonly<Record<string, number | string | boolean>>;
  readonly readings: Readonly<Record<string, readonly number[]>>;
  readonly units?: Readonly<Record<string, string>>;
}

/** What the page asks to be written, in one piece. */
export type BenchTask =
  | ({ readonly kind: "coupon"; readonly coupon: string; readonly note?: string } & BenchValues)
  | ({ readonly kind: "correction"; readonly coupon: string; readonly reason: string } & BenchValues)
  | {
      readonly kind: "incident";
      readonly what: string;
      readonly outcome: "carried_on" | "resumed" | "scrapped";
      /** Absent where nobody can say. */
      readonly lostTime?: { readonly value: number; readonly unit: "min" };
      readonly coupon?: string;
      readonly note?: string;
    }
  | { readonly kind: "change"; readonly what: string; readonly before?: string; readonly note?: string }
  | { readonly kind: "note"; readonly text: string; readonly coupon?: string }
  /** Takes back what another request, or an entry, wrote. */
  | { readonly kind: "undo"; readonly request?: string; readonly entry?: number }
  /** Nothing but the photo that comes with it. */
  | { readonly kind: "photo"; readonly coupon?: string; readonly note?: string };

/** A request as it is kept in the browser until the server has it. */
export interface BenchRequest {
  /** Name unlike any other; the journal keeps it, so that it is written once however often it is sent. */
  readonly id: string;
  /** `home` of the study it was made for. */
  readonly home: string;
  /** RFC 3339 time at which it was made, by the clock of the phone. */
  readonly made: string;
  readonly task: BenchTask;
  /** What the photo that comes with it shows. */
  readonly photoNote?: string;
}

/** What was written. */
export interface BenchReceipt {
  /** Numbers of the entries in the journal. */
  readonly entries: readonly number[];
  /** Whether the journal had it already. */
  readonly repeated: boolean;
  /** What is odd about the values, by name. */
  readonly warnings: readonly BenchFault[];
}

/** What is wrong with one value, to be told beside it. */
export interface BenchFault {
  readonly column?: string;
  readonly message: string;
}

/** Why nothing was written. */
export interface BenchRefusal {
  readonly message: string;
  readonly faults: readonly BenchFault[];
  /** Whether the same request may go through later, as when another program holds the journal. */
  readonly later: boolean;
}

/** One result of a coupon beside what was foreseen before it. */
export interface BenchLessonPart {
  readonly name: string;
  readonly label: string;
  /** What came out, in words. */
  readonly found: string;
  /** What was foreseen, in words; absent where nothing was. */
  readonly foreseen?: string;
  readonly verdict: "expected" | "unlikely" | "suspect" | "new";
  /** What to measure or look at again, of a suspect one. */
  readonly advice?: string;
}

/** What a coupon taught. */
export interface BenchLesson {
  readonly coupon: string;
  readonly headline: string;
  readonly suspect: boolean;
  readonly parts: readonly BenchLessonPart[];
}

/** Where the study stands. */
export interface BenchStanding {
  /** Said in the place of the rest where the study says of no result which is good. */
  readonly nothingAsked?: string;
  readonly revision: number;
  readonly coupons: number;
  readonly best: readonly BenchSetting[];
  /** Chance of a conforming coupon at the best setting. */
  readonly chance: number;
  /** The same in words, with its interval. */
  readonly chanceText: string;
  readonly ranges: readonly { readonly label: string; readonly text: string }[];
  /** How large the window is, in a sentence. */
  readonly window: string;
  readonly remarks: readonly string[];
}
