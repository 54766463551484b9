/**
 * Reads RS274/NGC by the grammar and the rules of the report NISTIR 6556 (Kramer, Proctor, Messina: The NIST RS274NGC
 * Interpreter, Version 3, 2000), sections 3.3 to 3.8 and its production rules; written from the report as remembered, without
 * a look at the writers it judges. Later additions (named parameters, subroutines, the letter E) are read only where asked for.
 */

/** A word: its letter and number. */
export interface Word {
  readonly letter: string;
  readonly value: number;
}

/** What one block of a program is. */
export interface Block {
  readonly line: number;
  readonly words: readonly Word[];
  readonly comments: readonly string[];
  readonly settings: readonly { readonly parameter: string; readonly value: number }[];
  /** `sub`, `endsub` or `call` with its name. */
  readonly o?: { readonly name: string; readonly what: string };
}

/** What the machine was told to do, in order. Lengths in mm, speeds in mm/min, times in s. */
export type Deed =
  | {
      readonly kind: "rapid" | "feed" | "arc";
      readonly line: number;
      readonly from: Point;
      readonly to: Point;
      readonly speed: number;
      readonly centre?: readonly [number, number];
      readonly turn?: 1 | -1;
    }
  | { readonly kind: "dwell"; readonly line: number; readonly time: number }
  | { readonly kind: "switch"; readonly line: number; readonly words: readonly Word[] }
  | { readonly kind: "stop"; readonly line: number };
export type Point = { readonly x: number; readonly y: number; readonly z: number };

const LETTERS = "ABCDFGHIJKLMPQRSTXYZ";
const WIDEST = 256;

/** Modal groups of Table 4 of the report, and what takes part in none. */
const G_GROUPS: readonly (readonly number[])[] = [
  [0, 1, 2, 3, 38.2, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89],
  [17, 18, 19],
  [90, 91],
  [93, 94],
  [20, 21],
  [40, 41, 42],
  [43, 49],
  [98, 99],
  [54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3],
  [61, 61.1, 64],
  [4, 10, 28, 30, 53, 92, 92.1, 92.2, 92.3],
];
const M_GROUPS: readonly (readonly number[])[] = [[0, 1, 2, 30, 60], [6], [3, 4, 5], [7, 8, 9], [48, 49]];

export class Rs274Error extends Error {}

interface Reading {
  readonly extended: boolean;
  /** M words beyond the report's that this machine knows. */
  readonly outputs: readonly number[];
}

/** One line of text, read left to right. */
class LineReader {
  at = 0;
  readonly text: string;
  readonly line: number;
  readonly parameters: ReadonlyMap<string, number>;
  readonly extended: boolean;
  constructor(text: string, line: number, parameters: ReadonlyMap<string, number>, extended: boolean) {
    this.text = text;
    this.line = line;
    this.parameters = parameters;
    this.extended = extended;
  }
  fail(what: string): never {
    throw new Rs274Error(`line ${this.line}, column ${this.at + 1}: ${what} in ${JSON.stringify(this.text)}`);
  }
  /** Blanks and tabs mean nothing outside comments. */
  blanks(): void {
    while (/[ \t]/.test(this.text[this.at] ?? "")) this.at++;
  }
  peek(): string {
    this.blanks();
    return (this.text[this.at] ?? "").toUpperCase();
  }
  take(): string {
    const found = this.peek();
    this.at++;
    return found;
  }
  eat(wanted: string): boolean {
    const before = this.at;
    for (const letter of wanted) {
      if (this.take() !== letter) {
        this.at = before;
        return false;
      }
    }
    return true;
  }
  number(): number {
    let digits = "";
    while (/[0-9.+-]/.test(this.peek())) {
      const next = this.peek();
      if (/[+-]/.test(next) && digits !== "") break;
      digits += this.take();
    }
    if (!/^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(digits)) this.fail(`no real number: "${digits}"`);
    return Number(digits);
  }
  /** Between < and >, blanks taken out. */
  name(): string {
    let name = "";
    if (!this.extended || !this.eat("<")) this.fail("no name");
    while (this.peek() !== ">") {
      if (!/[A-Z0-9_]/.test(this.peek())) this.fail("no letter of a name");
      name += this.take().toLowerCase();
    }
    this.take();
    if (name === "") this.fail("an empty name");
    return name;
  }
  parameter(): string {
    if (this.extended && this.peek() === "<") return `<${this.name()}>`;
    const index = this.real();
    if (!Number.isInteger(index) || index < 1 || index > 5399) this.fail(`no parameter number: ${index}`);
    return String(index);
  }
  real(): number {
    const next = this.peek();
    if (next === "[") return this.expression();
    if (next === "#") {
      this.take();
      const parameter = this.parameter();
      const value = this.parameters.get(parameter);
      return value ?? this.fail(`parameter ${parameter} was never set`);
    }
    for (const name of [
      "ABS",
      "ACOS",
      "ASIN",
      "ATAN",
      "COS",
      "EXP",
      "FIX",
      "FUP",
      "LN",
      "ROUND",
      "SIN",
      "SQRT",
      "TAN",
    ])
      if (this.eat(name)) this.fail(`function ${name}: none is expected here`);
    return this.number();
  }
  expression(): number {
    if (this.take() !== "[") this.fail("an expression begins with [");
    const levels: readonly (readonly (readonly [string, (a: number, b: number) => number])[])[] = [
      [
        ["+", (a, b) => a + b],
        ["-", (a, b) => a - b],
      ],
      [
        ["*", (a, b) => a * b],
        ["/", (a, b) => a / b],
        ["MOD", (a, b) => a - b * Math.floor(a / b)],
      ],
      [["**", (a, b) => a ** b]],
    ];
    const term = (level: number): number => {
      if (level === levels.length) return this.real();
      let value = term(level + 1);
      for (;;) {
        const found = levels[level]!.find(
          ([sign]) => !(sign === "*" && /^\s*\*\s*\*/.test(this.text.slice(this.at))) && this.eat(sign),
        );
        if (found === undefined) return value;
        value = found[1](value, term(level + 1));
      }
    };
    const value = term(0);
    if (this.take() !== "]") this.fail("an expression ends with ]");
    return value;
  }
  comment(): string {
    this.take();
    const end = this.text.indexOf(")", this.at);
    const inner = this.text.slice(this.at, end);
    if (end < 0) this.fail("a comment is not closed");
    if (inner.includes("(")) this.fail("a comment within a comment");
    // Printable characters, blanks and tabs.
    if (!/^[\t\x20-\x7e]*$/.test(inner)) this.fail("a character that is not printed, in a comment");
    this.at = end + 1;
    return inner;
  }
}

/** Reads a program into blocks. The whole must be within percent signs, or end with M2 or M30. */
export function readProgram(
  text: string,
  { extended = false, outputs = [] }: Partial<Reading> = {},
): readonly Block[] {
  const lines = text.split("\n");
  if (lines.at(-1) === "") lines.pop();
  const wrapped = /^%\s*$/.test(lines[0] ?? "");
  if (wrapped && !/^%\s*$/.test(lines.at(-1) ?? ""))
    throw new Rs274Error("the file begins with % and does not end so");
  const parameters = new Map<string, number>();
  const blocks = lines
    .map((line, i) => ({ line, number: i + 1 }))
    .slice(wrapped ? 1 : 0, wrapped ? -1 : undefined)
    .map(({ line, number }) => readBlock(line, number, { parameters, extended, outputs }));
  const ends = blocks.findIndex(({ words }) =>
    words.some(({ letter, value }) => letter === "M" && (value === 2 || value === 30)),
  );
  if (!wrapped && ends < 0) throw new Rs274Error("the file ends without %, M2 or M30");
  return blocks.slice(0, ends < 0 ? undefined : ends + 1);
}

function readBlock(
  text: string,
  line: number,
  { parameters, extended, outputs }: Reading & { readonly parameters: Map<string, number> },
): Block {
  if (text.length > WIDEST) throw new Rs274Error(`line ${line} has more than ${WIDEST} characters`);
  const reader = new LineReader(text, line, parameters, extended);
  reader.eat("/");
  if (reader.peek() === "N") {
    reader.take();
    if (!/^[0-9]{1,5}$/.test(String(reader.number()))) reader.fail("no line number");
  }
  const words: Word[] = [];
  const comments: string[] = [];
  const settings: { parameter: string; value: number }[] = [];
  if (extended && reader.peek() === "O") {
    reader.take();
    const name = reader.name();
    const what =
      ["ENDSUB", "SUB", "CALL"].find((one) => reader.eat(one)) ?? reader.fail("no word of a subroutine");
    while (reader.peek() === "(") comments.push(reader.comment());
    if (reader.peek() !== "") reader.fail("something behind the word of a subroutine");
    return { line, words, comments, settings, o: { name, what: what.toLowerCase() } };
  }
  for (let next = reader.peek(); next !== ""; next = reader.peek()) {
    if (next === "(") comments.push(reader.comment());
    else if (next === "#") {
      reader.take();
      const parameter = reader.parameter();
      if (reader.take() !== "=") reader.fail("a parameter setting without =");
      settings.push({ parameter, value: reader.real() });
    } else if (LETTERS.includes(next) || (extended && next === "E")) {
      reader.take();
      words.push({ letter: next, value: reader.real() });
    } else reader.fail(`"${next}" begins no word`);
  }
  // Settings take effect after the whole line is read.
  for (const { parameter, value } of settings) parameters.set(parameter, value);
  requireLawful(words, line, outputs);
  return { line, words, comments, settings };
}

/** Rules for the words of one line: sections 3.3.4 and 3.4 of the report. */
function requireLawful(words: readonly Word[], line: number, outputs: readonly number[]): void {
  const fail = (what: string): never => {
    throw new Rs274Error(`line ${line}: ${what}`);
  };
  const of = (letter: string): readonly number[] =>
    words.filter((w) => w.letter === letter).map((w) => w.value);
  for (const letter of new Set(words.map((w) => w.letter)))
    if (letter !== "G" && letter !== "M" && of(letter).length > 1) fail(`two ${letter} words`);
  for (const [letter, groups, more] of [
    ["G", G_GROUPS, []],
    ["M", M_GROUPS, outputs],
  ] as const) {
    for (const value of of(letter))
      if (!groups.some((group) => group.includes(value)) && !(more as readonly number[]).includes(value))
        fail(`${letter}${value} is not known`);
    for (const group of groups)
      if (of(letter).filter((value) => group.includes(value)).length > 1)
        fail(`two ${letter} words of one group`);
  }
  if (of("M").length > 4) fail("more than four M words");
  if (of("G").includes(4) && !(of("P").length === 1 && of("P")[0]! >= 0))
    fail("G4 without a P of at least 0");
  if (of("F").some((value) => value <= 0)) fail("a feed that is not above 0");
}

/** Runs a program's blocks, subroutines left out; refuses what the report refuses. */
export function runProgram(text: string, reading: Partial<Reading> = {}): readonly Deed[] {
  const deeds: Deed[] = [];
  let at: Point = { x: 0, y: 0, z: 0 };
  let motion: number | undefined;
  let feed: number | undefined;
  let scale = 1;
  let absolute = true;
  let known = false;
  for (const { words, line } of readProgram(text, reading)) {
    const fail = (what: string): never => {
      throw new Rs274Error(`line ${line}: ${what}`);
    };
    const value = (letter: string): number | undefined => words.find((w) => w.letter === letter)?.value;
    const g = words.filter((w) => w.letter === "G").map((w) => w.value);
    if (g.includes(20)) scale = 25.4;
    if (g.includes(21)) scale = 1;
    if (g.includes(20) || g.includes(21)) known = true;
    if (g.includes(90)) absolute = true;
    if (g.includes(91)) absolute = false;
    if (g.some((one) => [18, 19, 28, 30, 41, 42, 43, 53, 92, 93].includes(one)))
      fail("a word this judge does not follow");
    const own = g.find((one) => G_GROUPS[0]!.includes(one));
    if (own !== undefined) motion = own;
    if (value("F") !== undefined) feed = value("F")! * scale;
    const switching = words.filter(
      ({ letter, value: number }) =>
        letter === "S" || letter === "E" || (letter === "M" && ![0, 1, 2, 30, 60].includes(number)),
    );
    if (switching.length > 0) deeds.push({ kind: "switch", line, words });
    if (g.includes(4)) deeds.push({ kind: "dwell", line, time: value("P")! });
    if (words.some(({ letter, value: number }) => letter === "M" && [0, 1, 60].includes(number)))
      deeds.push({ kind: "stop", line });
    const axes = (["X", "Y", "Z"] as const).filter((letter) => value(letter) !== undefined);
    if (value("A") !== undefined || value("B") !== undefined || value("C") !== undefined)
      fail("a turning axis");
    if (axes.length === 0 && !(own === 2 || own === 3)) continue;
    if (motion === undefined || motion === 80) fail("axis words without a motion");
    if (!known) fail("a move before the length unit is set");
    const go = (letter: "X" | "Y" | "Z", from: number): number => {
      const number = value(letter);
      return number === undefined ? from : absolute ? number * scale : from + number * scale;
    };
    const to = { x: go("X", at.x), y: go("Y", at.y), z: go("Z", at.z) };
    if (motion === 0) deeds.push({ kind: "rapid", line, from: at, to, speed: Number.POSITIVE_INFINITY });
    else {
      if (feed === undefined) fail("a feed move before any F");
      if (motion === 1) deeds.push({ kind: "feed", line, from: at, to, speed: feed! });
      else if (motion === 2 || motion === 3) {
        if (value("I") === undefined && value("J") === undefined) fail("an arc without centre");
        const centre = [at.x + (value("I") ?? 0) * scale, at.y + (value("J") ?? 0) * scale] as const;
        const radius = (p: Point): number => Math.hypot(p.x - centre[0], p.y - centre[1]);
        // Section 3.5.3: start and end may not differ in radius by more than 0.002 mm.
        if (Math.abs(radius(at) - radius(to)) > 0.002)
          fail("the ends of an arc are not equally far from its centre");
        if (radius(at) === 0) fail("an arc without radius");
        deeds.push({ kind: "arc", line, from: at, to, speed: feed!, centre, turn: motion === 3 ? 1 : -1 });
      } else fail(`motion G${motion}`);
    }
    at = to;
  }
  return deeds;
}
