import { readFileSync } from "node:fs";

const readme = readFileSync(new URL("../../README.md", import.meta.url), "utf8");

/** The lines that a reader who follows one part of the README types up to some words of it; remarks and > taken off. */
export function readmeLines(title: string, before = "\n## "): readonly (readonly string[])[] {
  const part = readme.split(`## ${title}\n`)[1]!.split(before)[0]!;
  return [...part.matchAll(/^beadbench (.+)$/gm)].map(([, line]) =>
    [...line!.replace(/\s#.*$/, "").matchAll(/"([^"]*)"|(\S+?)="([^"]*)"|(\S+)/g)].map(
      ([, quoted, name, value, plain]) => quoted ?? plain ?? `${name}=${value}`,
    ),
  );
}
