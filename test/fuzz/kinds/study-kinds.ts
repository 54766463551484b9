import type { RandomStream } from "../../../lib/numeric/index.js";
import { canonicalJson, type Entry, sealEntries } from "../../../lib/study/journal/index.js";
import type { Trial } from "../attempt.js";
import { mutateBytes } from "../mutate/bytes.js";
import { mutateCsv } from "../mutate/csv.js";
import { mutateJson } from "../mutate/json.js";
import { chance, oddWords, pick } from "../mutate/odd.js";
import { couponsText, machineText, plainText, studyText } from "../seed-texts.js";
import type { Seeds } from "../seeds.js";
import { chain, quickLines, slowLines } from "./chain.js";
import { drawnStudy } from "./drawn-study.js";

/** A kind of input: makes one from random numbers and the seeds. */
export type Make = (draw: RandomStream, seeds: Seeds) => Trial;

const beside = ({ preset }: Seeds) => ({ "preset.json": preset, "machine.json": machineText });

/** A study.json begun with, and what may follow. */
const definition: Make = (draw, seeds) => {
  const [text, other] = chance(draw, 0.5) ? [studyText, plainText] : [plainText, studyText];
  return {
    files: { ...beside(seeds), "d.json": mutateJson(draw, text, other), "r.csv": couponsText },
    lines: [
      ["new", "s", "--from", "d.json"],
      ...(chance(draw, 0.5) ? [["import", "s", "r.csv"]] : []),
      ...chain(draw, "s", 0.02),
    ],
  };
};

/** A study.json changed by hand while there is a record. */
const edited: Make = (draw, seeds) => {
  const study = pick(draw, ["full", "plain"]);
  const text = mutateJson(
    draw,
    study === "full" ? studyText : plainText,
    chance(draw, 0.5) ? plainText : studyText,
  );
  return {
    files: { ...beside(seeds), [`${study}/study.json`]: text },
    lines: [pick(draw, chance(draw, 0.04) ? slowLines(study) : quickLines(study))],
  };
};

/** A study that is valid, at the ends of what may be said. */
const drawn: Make = (draw, seeds) => {
  const { definition: text, results } = drawnStudy(draw);
  return {
    files: { ...beside(seeds), "d.json": text, "r.csv": results },
    lines: [["new", "s", "--from", "d.json"], ["import", "s", "r.csv"], ...chain(draw, "s", 0.1)],
  };
};

const coupons: Make = (draw, seeds) => {
  const text = mutateCsv(
    draw,
    couponsText,
    pick(draw, ["a,b\n1,2\n", couponsText, "coupon,current [A]\nX1,140\n"]),
  );
  const lines = pick<readonly (readonly string[])[]>(draw, [
    [["import", "empty", "r.csv"], ...chain(draw, "empty", 0.01)],
    [["import", "full", "r.csv"]],
    [["import", "empty", "r.csv", "--accept-good"], ...chain(draw, "empty", 0.01)],
    [["import", "full", "r.csv", "--decimal", pick(draw, [".", ","])]],
    [
      ["new", "s", "--from", "r.csv", "--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm"],
      ...chain(draw, "s", 0.02),
    ],
    [["columns", "full", "r.csv"]],
    [["control", "r.csv", "--column", "bead_width_1"]],
  ]);
  return { files: { ...beside(seeds), "r.csv": text }, lines };
};

/** Lines changed with their hashes as they were, or sealed anew as a hostile hand would. */
function journalText(draw: RandomStream, seeds: Seeds): string | Buffer {
  const lines = seeds.journal.trimEnd().split("\n");
  const at = draw.integer(0, lines.length - 1);
  const one = (): string => {
    const { hash: _, prev: __, seq: ___, ...body } = JSON.parse(lines[at]!);
    return String(
      mutateJson(draw, JSON.stringify(body), lines[draw.integer(0, lines.length - 1)]!),
    ).replaceAll("\n", " ");
  };
  return pick<() => string | Buffer>(draw, [
    () => lines.map((line, i) => (i === at ? one() : line)).join("\n"),
    () =>
      lines
        .map((line, i) => (i === at ? String(mutateJson(draw, line)).replaceAll("\n", " ") : line))
        .join("\n"),
    () => resealed(lines, at, one()),
    () => resealed(lines, at, one()),
    () => resealed(lines, at, one()),
    () => draw.shuffle(lines).join("\n"),
    () => lines.filter((_, i) => i !== at).join("\n"),
    () => [...lines, lines[at]].join("\n"),
    () => `${lines.join("\r\n")}\r\n`,
    () => `${lines.join("\n")}\n${pick(draw, oddWords)}\n`,
    () => mutateBytes(draw, Buffer.from(seeds.journal)),
  ])();
}

const plainJson = (text: string): unknown => {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
};

/** A journal with one line changed and every hash right. */
function resealed(lines: readonly string[], at: number, changed: string): string {
  let last: Entry | undefined;
  const sealed = lines.map((line, i): string => {
    const { hash: _, prev: __, seq: ___, ...body } = JSON.parse(line);
    const found = i === at ? plainJson(changed) : body;
    const whole = found !== null && typeof found === "object" && !Array.isArray(found) ? found : body;
    try {
      [last] = sealEntries([whole], last, { time: body.time });
      return canonicalJson(last);
    } catch {
      // What no journal can carry stands as it is.
      return JSON.stringify(whole);
    }
  });
  return `${sealed.join("\n")}\n`;
}

const journal: Make = (draw, seeds) => {
  const text = journalText(draw, seeds);
  const follow = pick<readonly (readonly string[])[]>(draw, [
    [
      ["check", "full"],
      ["log", "full", "--note", "x"],
    ],
    [
      ["status", "full"],
      ["check", "full"],
    ],
    [
      ["recover", "full", "new"],
      ["check", "new"],
    ],
    [
      ["merge", "twin", "full"],
      ["check", "twin"],
    ],
    [
      ["merge", "full", "twin"],
      ["check", "full"],
    ],
    [["status", "full"], ...chain(draw, "full", 0.03)],
    [pick(draw, quickLines("full"))],
  ]);
  const twin = Object.fromEntries(
    Object.entries(seeds.files)
      .filter(([name]) => name.startsWith("full/"))
      .map(([name, content]) => [name.replace("full", "twin"), content]),
  );
  return { files: { ...beside(seeds), ...twin, "full/journal.jsonl": text }, lines: follow };
};

const shared: Make = (draw, seeds) => ({
  files: { ...beside(seeds), "share.json": mutateJson(draw, seeds.shared) },
  lines: [["open", "share.json", "s"], ...chain(draw, "s", 0.02)],
});

export const studyKinds = { definition, edited, drawn, coupons, journal, shared } satisfies Record<
  string,
  Make
>;
