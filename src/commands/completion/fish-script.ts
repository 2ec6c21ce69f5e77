// Completion for fish, as a text, each offer with what it is for. The tool is not started for each press of the key.

import type { CommandWords, OptionWords } from './completion-words.ts';
import { fishQuoted } from './quoted.ts';

export function fishScript(words: readonly CommandWords[]): string {
  const paths = words.filter(({ path }) => path !== '').map(({ path }) => fishQuoted(path));
  const passed = words[0]!.options.filter(({ takesValue }) => takesValue).map(({ word }) => word);
  const lines = words.flatMap(({ path, members, options, offers }) => {
    const start = `complete -c slotproof -n ${fishQuoted(`test (__slotproof_path) = "${path}"`)}`;
    return [
      ...members.map(({ word, summary }) => `${start} -f -a ${word} -d ${fishQuoted(summary)}`),
      ...(offers.length === 0 ? [] : [`${start} -a ${fishQuoted(offers.join(' '))}`]),
      ...options.map((option) => `${start} ${optionLine(option)}`),
    ];
  });
  return `# fish completion of slotproof, made by: slotproof completion fish
function __slotproof_path
  set -l path ''
  set -l passed 0
  for word in (commandline -opc)[2..-1]
    if test $passed = 1
      set passed 0
      continue
    end
    switch $word
      case ${passed.map(fishQuoted).join(' ')}
        set passed 1
      case '-*'
      case '*'
        set -l next (string trim -- "$path $word")
        if contains -- $next ${paths.join(' ')}
          set path $next
        end
    end
  end
  echo $path
end
complete -c slotproof -e
${lines.join('\n')}
`;
}

function optionLine({ word, summary, takesValue, values }: OptionWords): string {
  const value = values.length > 0 ? ` -x -a ${fishQuoted(values.join(' '))}` : takesValue ? ' -r -F' : '';
  return `-l ${word.slice(2)}${value} -d ${fishQuoted(summary)}`;
}
