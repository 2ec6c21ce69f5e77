// Completion for zsh, as a text, each offer with what it is for. The tool is not started for each press of the key.

import type { CommandWords, Offer } from './completion-words.ts';
import { quoted } from './quoted.ts';

export function zshScript(words: readonly CommandWords[]): string {
  const paths = words.filter(({ path }) => path !== '').map(({ path }) => quoted(path));
  const passed = words[0]!.options.filter(({ takesValue }) => takesValue).map(({ word }) => word);
  const values = words.flatMap(({ path, options }) =>
    options
      .filter(({ takesValue }) => takesValue)
      .map(({ word, values: list }) => {
        const offer = list.length === 0 ? '_files' : `compadd -- ${list.map(quoted).join(' ')}`;
        return `    ${quoted(`${path} ${word}`)}) ${offer}; return ;;`;
      }),
  );
  const offered = words.map(({ path, members, options, offers }) => {
    const lines = [
      `plain=(${described(members)})`,
      `options=(${described(options)})`,
      ...(offers.length === 0 ? [] : [`compadd -- ${offers.map(quoted).join(' ')}`]),
      ...(members.length === 0 ? ['files=1'] : []),
    ];
    return `    ${quoted(path)})\n${lines.map((line) => `      ${line}`).join('\n')} ;;`;
  });
  return `#compdef slotproof
# zsh completion of slotproof, made by: slotproof completion zsh
_slotproof() {
  local current=\${words[CURRENT]} previous=\${words[CURRENT-1]} way='' word
  local -i at passed=0 files=0
  local -a plain options
  for ((at = 2; at < CURRENT; at++)); do
    word=\${words[at]}
    if ((passed)); then passed=0; continue; fi
    case $word in
      ${passed.join('|')}) passed=1 ;;
      -*) ;;
      *)
        case "\${way:+$way }$word" in
          ${paths.join('|')}) way="\${way:+$way }$word" ;;
        esac ;;
    esac
  done
  case "$way $previous" in
${values.join('\n')}
  esac
  case "$way" in
${offered.join('\n')}
  esac
  if [[ $current == -* ]]; then
    _describe -o option options
    return
  fi
  (($#plain)) && _describe command plain
  ((files)) && _files
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _slotproof "$@"; else compdef _slotproof slotproof; fi
`;
}

/** \`word:what it is for\`; a colon in the word itself would end it, and none has one. */
function described(offers: readonly Offer[]): string {
  return offers.map(({ word, summary }) => quoted(`${word}:${summary}`)).join(' ');
}
