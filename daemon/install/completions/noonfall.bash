# bash completion for noonfall and its programs: commands and options as their own --help tells them; else files.
_noonfall() {
  local word=${COMP_WORDS[COMP_CWORD]} commands='' help
  local -a line=("${COMP_WORDS[0]}")
  if [[ ${COMP_WORDS[0]##*/} == noonfall ]]; then
    if ((COMP_CWORD > 1)); then line+=("${COMP_WORDS[1]}"); else commands=yes; fi
  fi
  help=$("${line[@]}" --help 2>/dev/null) || return
  COMPREPLY=()
  if [[ $word == -* ]]; then
    # shellcheck disable=SC2207  # options have no spaces
    COMPREPLY=($(compgen -W "$(grep -oE '(^|[ ,])--[a-z0-9-]+' <<<"$help" | tr -d ' ,')" -- "$word"))
  elif [[ -n $commands ]]; then
    # shellcheck disable=SC2207
    COMPREPLY=($(compgen -W "$(sed -n '/^Subcommands:/,$s/^  \([a-z]*\) .*/\1/p' <<<"$help")" -- "$word"))
  fi
}
complete -o default -F _noonfall noonfall noonfalld noonfall-camera
