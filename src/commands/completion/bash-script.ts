// Completion for bash, as a text. What it offers stands in it: the tool is not started for each press of the key.

import type { CommandWords } from './completion-words.ts';
import { quoted } from './quoted.ts';

/** `complete -o default`: where nothing is offered, bash completes names of files. */
export function bashScript(words: readonly CommandWords[]): string {
  const paths = words.filter(({ path }) => path !== '').map(({ path }) => quoted(path));
  const passed = words[0]!.options.filter(({ takesValue }) => takesValue).map(({ word }) => word);
  const values = words.flatMap(({ path, options }) =>
    options
      .filter(({ takesValue }) => takesValue)
      .map(
        ({ word, values: list }) => `    ${quoted(`${path} ${word}`)}) offered=${quoted(list.join(' '))} ;;`,
      ),
  );
  const offered = words.map(({ path, members, options, offers }) => {
    const plain = [...members.map(({ word }) => word), ...offers].join(' ');
    return `    ${quoted(path)}) plain=${quoted(plain)} options=${quoted(options.map(({ word }) => word).join(' '))} ;;`;
  });
  return `# bash completion of slotproof, made by: slotproof completion bash
_slotproof() {
  local current=\${COMP_WORDS[COMP_CWORD]} previous=\${COMP_WORDS[COMP_CWORD-1]}
  local path='' word at passed=0 plain='' options='' offered=none
  COMPREPLY=()
  for ((at = 1; at < COMP_CWORD; at++)); do
    word=\${COMP_WORDS[at]}
    if ((passed)); then passed=0; continue; fi
    case $word in
      ${passed.join('|')}) passed=1 ;;
      -*) ;;
      *)
        case "\${path:+$path }$word" in
          ${paths.join('|')}) path="\${path:+$path }$word" ;;
        esac ;;
    esac
  done
  case "$path $previous" in
${values.join('\n')}
  esac
  if [[ $offered != none ]]; then
    COMPREPLY=($(compgen -W "$offered" -- "$current"))
    return
  fi
  case "$path" in
${offered.join('\n')}
  esac
  if [[ $current == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$current"))
  else
    COMPREPLY=($(compgen -W "$plain" -- "$current"))
  fi
}
complete -o default -F _slotproof slotproof
`;
}
