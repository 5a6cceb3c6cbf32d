# bash completion for noonfall and its programs: commands and options as their own --help tells them.
_noonfall() {
  local word=${COMP_WORDS[COMP_CWORD]} help
  local -a line=("${COMP_WORDS[0]}")
  if [[ ${COMP_WORDS[0]##*/} == noonfall ]] && ((COMP_CWORD > 1)); then line+=("${COMP_WORDS[1]}"); fi
  help=$("${line[@]}" --help 2>/dev/null) || return
  if [[ $word == -* ]]; then
    mapfile -t COMPREPLY < <(compgen -W "$(grep -oE '(^|[ ,])--[a-z0-9-]+' <<<"$help" | tr -d ' ,')" -- "$word")
  elif [[ ${COMP_WORDS[0]##*/} == noonfall ]] && ((COMP_CWORD == 1)); then
    mapfile -t COMPREPLY < <(compgen -W "$(sed -n '/^Subcommands:/,$s/^  \([a-z]*\) .*/\1/p' <<<"$help")" -- "$word")
  else
    mapfile -t COMPREPLY < <(compgen -f -- "$word")
  fi
}
complete -o filenames -F _noonfall noonfall noonfalld noonfall-camera
