import { mutateBytes } from "../mutate/bytes.js";
import { mutateCsv } from "../mutate/csv.js";
import { mutateJson } from "../mutate/json.js";
import { chance, oddWords, pick } from "../mutate/odd.js";
import { mutateWorkbook } from "../mutate/workbook.js";
import { traceParquet } from "../parquet.js";
import {
  couponsText,
  equipmentText,
  layersText,
  machineText,
  mapText,
  marksText,
  photoHeads,
  profilesText,
  readings,
  templateText,
  traceSound,
  traceText,
} from "../seed-texts.js";
import type { Make } from "./study-kinds.js";

type Lines = readonly (readonly string[])[];

const dimensions = ["--length", "120 mm", "--layers", "10"];

const workbook: Make = (draw) => ({
  files: { "t.xlsx": mutateWorkbook(draw, couponsText), "map.json": mapText },
  lines: pick<Lines>(draw, [
    [
      ["columns", "empty", "t.xlsx", "--to", "drafted.json"],
      ["import", "empty", "t.xlsx", "--columns", "drafted.json"],
    ],
    [
      ["import", "empty", "t.xlsx", "--columns", "map.json"],
      ["check", "full"],
    ],
  ]),
});

const columnMap: Make = (draw) => ({
  files: { "r.csv": couponsText, "map.json": mutateJson(draw, mapText) },
  lines: [
    ["import", "empty", "r.csv", "--columns", "map.json"],
    ["export", "empty"],
  ],
});

const profile: Make = (draw) =>
  pick(draw, [
    () => ({
      files: { "p.csv": mutateCsv(draw, profilesText) },
      lines: [
        ["profiles", "full", "p.csv", ...pick<readonly string[]>(draw, [[], ["--dry"], ["--level-base"]])],
      ],
    }),
    () => ({
      files: { "p.csv": mutateCsv(draw, profilesText.replaceAll("C1", "1").replace("coupon", "layer")) },
      lines: [["profiles", "full", "p.csv", "--wall", "--csv", "walls.csv"]],
    }),
    () => ({
      files: { "m.csv": mutateCsv(draw, marksText) },
      lines: [["photo", "full", "m.csv", "--length", "50 mm"]],
    }),
  ])();

const reading: Make = (draw) => {
  const [command, { text, line }] = pick(draw, Object.entries(readings));
  const another = pick(draw, Object.values(readings)).text;
  return { files: { "t.csv": mutateCsv(draw, text, another) }, lines: [[command, "t.csv", ...line]] };
};

/** Text, sound and columns as recorders write them; `parquet` is made by another program, once. */
const trace: Make = (draw) => {
  const kinds: Readonly<Record<string, () => string | Buffer>> = {
    "t.csv": () => mutateCsv(draw, traceText),
    "t.wav": () =>
      mutateBytes(
        draw,
        chance(draw, 0.6) ? mutateHead(draw, traceSound) : traceSound,
        Buffer.from(traceText),
      ),
    "t.parquet": () => mutateBytes(draw, traceParquet(), traceSound),
  };
  const [name, make] = pick(draw, Object.entries(kinds));
  const scales = name === "t.wav" ? ["--scale", "current=500 A", "--scale", "voltage=50 V"] : [];
  return {
    files: { [name]: make() },
    lines: [
      pick<readonly string[]>(draw, [
        ["trace", name, "--process", "141", ...scales],
        ["trace", name, "--process", "141", ...scales, "--events", "events.csv", "--svg", "trace.svg"],
        ["trace", "full", name, "--coupons", "C1", ...scales, "--log"],
      ]),
    ],
  };
};

/** Lies in the first bytes, where formats say how long everything is. */
const mutateHead = (draw: Parameters<Make>[0], bytes: Buffer): Buffer =>
  Buffer.concat([mutateBytes(draw, bytes.subarray(0, 44)), bytes.subarray(44)]);

const forms = ["preset-json", "preset-csv", "ngc", "template", "procedure", "urdf"];
const preset: Make = (draw, seeds) => ({
  files: { "p.json": mutateJson(draw, seeds.preset), "machine.json": machineText, "t.txt": templateText },
  lines: pick<Lines>(draw, [
    [["confirm", "full", "--preset", "p.json"]],
    [
      [
        "export",
        "full",
        "--preset",
        "p.json",
        "--machine",
        "machine.json",
        "--template",
        "t.txt",
        "--unproven",
        "--format",
        pick(draw, forms),
        "--to",
        pick(draw, ["out.txt", "out.html"]),
      ],
    ],
    [["forecast", "full", "--preset", "p.json", ...dimensions, "--html", "forecast.html"]],
    [["wall", "full", "--preset", "p.json", ...dimensions, "--csv", "wall.csv"]],
    [["compare", "full", "p.json", "p.json"]],
    [
      ["share", "full", "--preset", "p.json", "--to", "s.json"],
      ["open", "s.json", "s"],
    ],
  ]),
});

const template: Make = (draw, seeds) => {
  const at = draw.integer(0, templateText.length);
  const put = pick(draw, [
    ...oddWords,
    "{{",
    "}}",
    "{{/",
    "{{#settings}}",
    "{{/settings}}",
    "{{=<% %>=}}",
    "{{>settings}}",
    "{{&study}}",
    "{{constructor}}",
    "{{by_name.__proto__.x}}",
    "{{#by_name}}{{.}}{{/by_name}}",
    "{{settings.length}}",
    "{{#study.constructor}}x{{/study.constructor}}",
    "{{#settings}}".repeat(3000),
  ]);
  const text = pick<() => string | Buffer>(draw, [
    () => templateText.slice(0, at) + put + templateText.slice(at),
    () => templateText.slice(0, at) + put + templateText.slice(at),
    () => mutateBytes(draw, Buffer.from(templateText)),
  ])();
  return {
    files: { "t.txt": text, "preset.json": seeds.preset },
    lines: [
      [
        "export",
        "full",
        "--preset",
        "preset.json",
        "--format",
        "template",
        "--template",
        "t.txt",
        "--to",
        "out.txt",
      ],
    ],
  };
};

const machine: Make = (draw, seeds) => ({
  files: { "machine.json": mutateJson(draw, machineText), "preset.json": seeds.preset },
  lines: pick<Lines>(draw, [
    [
      [
        "program",
        "full",
        "--machine",
        "machine.json",
        "--plate-width",
        "300 mm",
        "--plate-depth",
        "200 mm",
        "--standoff",
        "3 mm",
        "--ngc",
        "o.ngc",
        "--svg",
        "o.svg",
      ],
    ],
    [
      [
        "export",
        "full",
        "--preset",
        "preset.json",
        "--machine",
        "machine.json",
        "--format",
        "ngc",
        "--to",
        "o.ngc",
      ],
    ],
  ]),
});

/** What is told of a build: the makers' ratings, its layers, its plan. */
const build: Make = (draw, seeds) =>
  pick(draw, [
    () => ({
      files: { "e.json": mutateJson(draw, equipmentText), "preset.json": seeds.preset },
      lines: [
        pick(draw, [
          ["physics", "full", "current=140 A", "--equipment", "e.json"],
          ["forecast", "full", "--preset", "preset.json", ...dimensions, "--equipment", "e.json"],
        ]),
      ],
    }),
    () => ({
      files: { "s.json": mutateJson(draw, seeds.schedule), "preset.json": seeds.preset },
      lines: [["forecast", "full", "--preset", "preset.json", "--schedule", "s.json", "--html", "f.html"]],
    }),
    () => ({
      files: { "plan.json": mutateJson(draw, seeds.plan) },
      lines: [
        ["build", "full", "ring-2", "--start", "--plan", "plan.json"],
        ["build", "full", "ring-2", "--layer", "3", "--sheet", "pause.html"],
      ],
    }),
    () => ({
      files: { "l.csv": mutateCsv(draw, layersText), "preset.json": seeds.preset },
      lines: [["forecast", "full", "--preset", "preset.json", "--part", "l.csv", "--html", "f.html"]],
    }),
    () => ({
      files: { "l.csv": mutateCsv(draw, readings.standoff!.text), "preset.json": seeds.preset },
      lines: [["wall", "full", "--preset", "preset.json", ...dimensions, "--log", "l.csv", "--svg", "w.svg"]],
    }),
  ])();

const photo: Make = (draw) => {
  const name = pick(draw, [
    "p.jpg",
    "p.png",
    "p.webp",
    "<b>.jpg",
    "-.jpg",
    "study.json",
    "plan.json",
    "x\u001b[2J.png",
    "a".repeat(250),
  ]);
  return {
    files: { [name]: mutateBytes(draw, pick(draw, photoHeads), pick(draw, photoHeads)) },
    lines: [
      ["log", "full", ...(chance(draw, 0.5) ? ["C1"] : []), "--attach", name],
      ["check", "full"],
      ["report", "full", "--json"].slice(0, 0),
    ].filter(({ length }) => length > 0),
  };
};

export const fileKinds = {
  workbook,
  columnMap,
  profile,
  reading,
  trace,
  preset,
  template,
  machine,
  build,
  photo,
} satisfies Record<string, Make>;
