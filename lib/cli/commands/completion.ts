import { resolve } from "node:path";
import type { Command } from "commander";
import { BeadbenchError, ownValue, refusalOf } from "../../errors/index.js";
import { kindRules } from "../../study/definition/index.js";
import { openStudy, type Study } from "../../study/record/index.js";

import type { CommandIo } from "../io.js";
import { isStudyFolder } from "../study-folder.js";

/** What a shell runs to learn how to complete; each asks this command again with the words typed so far. */
const scripts: Readonly<Record<string, string>> = {
  bash: `_beadbench() {
  local IFS=$'\\n'
  COMPREPLY=($(beadbench completion bash -- "\${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
  [[ \${COMPREPLY[0]-} == *= ]] && compopt -o nospace
}
complete -o default -F _beadbench beadbench
`,
  zsh: `#compdef beadbench
_beadbench() {
  local -a found
  found=("\${(@f)$(beadbench completion zsh -- "\${(@)words[2,CURRENT]}" 2>/dev/null)}")
  if [[ -z "\${found[1]-}" ]]; then _files; return; fi
  compadd -S '' -- \${(M)found:#*=}
  compadd -- \${found:#*=}
}
compdef _beadbench beadbench
`,
  fish: `function __beadbench_complete
  set -l typed (commandline -opc)
  set -l now (commandline -ct)
  set -l found (beadbench completion fish -- $typed[2..-1] "$now" 2>/dev/null)
  if test -n "$found[1]"
    printf '%s\\n' $found
  else
    __fish_complete_path "$now"
  end
end
complete -c beadbench -f -a '(__beadbench_complete)'
`,
  powershell: `Register-ArgumentCompleter -Native -CommandName beadbench -ScriptBlock {
  param($word, $ast, $position)
  $words = @($ast.CommandElements | Select-Object -Skip 1 |
    Where-Object { $_.Extent.StartOffset -lt $position } | ForEach-Object { "$_" })
  if ($word -eq '') { $words += ' ' }
  beadbench completion powershell '--' @words 2>$null |
    ForEach-Object { [System.Management.Automation.CompletionResult]::new($_) }
}
`,
};

const homes: Readonly<Record<string, string>> = {
  bash: "beadbench completion bash >> ~/.bashrc",
  zsh: "beadbench completion zsh >> ~/.zshrc (after compinit)",
  fish: "beadbench completion fish > ~/.config/fish/completions/beadbench.fish",
  powershell: "beadbench completion powershell >> $PROFILE",
};

export function define(command: Command, io: CommandIo): void {
  command
    .argument("[words...]")
    .addHelpText(
      "after",
      `\nPut it where your shell reads it at its start:\n${Object.values(homes)
        .map((line) => `  ${line}\n`)
        .join("")}`,
    )
    .action((shell: string, words: readonly string[], options: { readonly json?: boolean }) => {
      const script = ownValue(scripts, shell);
      if (script === undefined) {
        throw new BeadbenchError(
          "bad-argument",
          `no completion for "${shell}": write one of ${Object.keys(scripts).join(", ")}`,
        );
      }
      const found = words.length === 0 ? undefined : candidates(io, command.parent!.commands, words);
      const text = found === undefined ? script : found.map((word) => `${word}\n`).join("");
      io.out(options.json === true ? `${JSON.stringify(found ?? script)}\n` : text);
    });
}

/** What the last word may become; nothing where a file name is as good a guess. */
function candidates(
  io: CommandIo,
  commands: readonly Command[],
  words: readonly string[],
): readonly string[] {
  const typed = words.at(-1)!.trim();
  const begins = (word: string): boolean => word.startsWith(typed);
  if (words.length === 1) return commands.map((command) => command.name()).filter(begins);
  const command = commands.find((candidate) => candidate.name() === words[0]);
  if (command === undefined) return [];
  const before = words.at(-2)!;
  const choices = command.options.find(({ long, short }) => long === before || short === before)?.argChoices;
  if (choices !== undefined) return choices.filter(begins);
  if (typed.startsWith("-")) return command.options.flatMap(({ long }) => long ?? []).filter(begins);
  if (command.registeredArguments[0]?.name() !== "study") return [];
  const named = words.slice(1, -1).find((word) => isStudyFolder(io, word));
  const study = studyIn(io, named ?? ".");
  if (study === undefined) return [];
  if (command.name() === "log") return [...couponIds(study), ...columns(study)].filter(begins);
  return command.name() === "build"
    ? [...new Set(study.buildSteps.map(({ build }) => build))].filter(begins)
    : [];
}

function studyIn(io: CommandIo, folder: string): Study | undefined {
  if (!isStudyFolder(io, folder)) return undefined;
  let study: Study | undefined;
  refusalOf(() => {
    study = openStudy(resolve(io.folder, folder), { clock: io.clock });
  });
  return study;
}

/** Planned coupons first: they are the ones to log. */
const couponIds = ({ coupons }: Study): readonly string[] =>
  ["planned", "logged"].flatMap((state) => coupons.filter((one) => one.state === state).map(({ id }) => id));

const columns = ({ definition: { factors, responses, blocks } }: Study): readonly string[] => [
  ...responses.map(({ name, kind }) => (kindRules(kind).cells === "verdicts" ? name : `${name}=`)),
  ...[...factors.map(({ name }) => name), ...blocks].map((name) => `${name}=`),
];
