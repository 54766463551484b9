/**
 * Draws every chart of the library into a folder: of the samples, of the demo studies, of awkward names and amounts, and
 * pages that show them in light, dark and grey.
 *
 *     npm run gallery                      into out/gallery
 *     npm run gallery -- --out folder --width 360
 */
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { type ChartSpec, escapeMarkup, renderSvg } from "../../lib/charts/index.js";
import { drawingSource, drawings } from "../../lib/cli/drawings.js";
import { BeadbenchError } from "../../lib/errors/index.js";
import { createDemoStudy, createRingStudy, type Study } from "../../lib/study/index.js";
import { awkward } from "./awkward.js";
import { samples } from "./samples.js";

const { values } = parseArgs({
  options: { out: { type: "string", default: join("out", "gallery") }, width: { type: "string" } },
});

interface Picture {
  readonly group: string;
  readonly name: string;
  readonly spec: ChartSpec;
}

const group = (name: string, made: Readonly<Record<string, () => ChartSpec>>): Picture[] =>
  Object.entries(made).map(([chart, draw]) => ({ group: name, name: chart, spec: draw() }));

/** Every chart a study has something of. */
function ofStudy(title: string, study: Study): Picture[] {
  const source = drawingSource(study);
  return drawings.flatMap(({ name, draw }): Picture[] => {
    try {
      const spec = draw(source);
      return spec === undefined ? [] : [{ group: title, name, spec }];
    } catch (error) {
      // A study without coupons has no fit, and so on.
      if (!(error instanceof BeadbenchError)) throw error;
      return [];
    }
  });
}

const looks = [
  { file: "index.html", title: "Charts", scheme: "light", style: "" },
  {
    file: "dark.html",
    title: "Charts, dark",
    scheme: "dark",
    style: "body{background:#14181d;color:#e4e7eb}a{color:#7cc4ee}",
  },
  { file: "grey.html", title: "Charts, grey", scheme: "light", style: "svg{filter:grayscale(1)}" },
] as const;

const style =
  "body{font:15px/1.5 'DejaVu Sans',sans-serif;margin:1rem}figure{display:inline-block;vertical-align:top;margin:0 1rem 1.5rem 0;max-width:100%}figure div{overflow-x:auto}";

async function main(): Promise<void> {
  const { out } = values;
  const size = values.width === undefined ? {} : { width: Number(values.width) };
  rmSync(out, { recursive: true, force: true });
  mkdirSync(out, { recursive: true });
  const pictures = [
    ...group("Samples", samples),
    ...ofStudy("Demo study", createDemoStudy()),
    ...ofStudy("Demo of a long build", createRingStudy()),
    ...group("Awkward names and amounts", awkward),
  ];
  const nameOf = ({ group: g, name }: Picture): string =>
    `${g} ${name}`.toLowerCase().replace(/[^a-z0-9]+/g, "-");
  for (const picture of pictures)
    writeFileSync(join(out, `${nameOf(picture)}.svg`), await renderSvg(picture.spec, size));
  for (const { file, title, scheme, style: more } of looks) {
    const figures: string[] = [];
    for (const [i, picture] of pictures.entries()) {
      if (picture.group !== pictures[i - 1]?.group) figures.push(`<h2>${escapeMarkup(picture.group)}</h2>`);
      const svg = await renderSvg(picture.spec, { idPrefix: `p${i}-`, scheme, ...size });
      figures.push(
        `<figure><figcaption>${escapeMarkup(picture.name)}</figcaption><div>${svg}</div></figure>`,
      );
    }
    const links = looks.map((look) => `<a href="${look.file}">${look.title}</a>`).join(" · ");
    writeFileSync(
      join(out, file),
      `<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>${title}</title><style>${style}${more}</style></head>\n<body><p>${links}</p>\n${figures.join("\n")}\n</body></html>\n`,
    );
  }
  console.log(`${pictures.length} charts in ${out}: open ${join(out, "index.html")}`);
}

main().catch((error: Error) => {
  console.error(error.message);
  process.exitCode = 1;
});
