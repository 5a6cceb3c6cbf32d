#!/bin/sh
# manual.sh PROGRAM SECTION INCLUDE PAGE.gz: a page of the manual, from what the program says of itself and of each of
# its commands.
set -eu
program=$1 section=$2 include=$3 page=$4
name=$(basename "$program")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp "$include" "$work/include"
# A command's own help, as a section of the page.
"$program" --help | sed -n '/^Subcommands:/,/^$/s/^  \([a-z]*\)  .*/\1/p' | while read -r command; do
  printf '[%s %s]\n' "$name" "$command"
  "$program" "$command" --help | sed -n '1p;3,$p' | sed 's/\\/\\\\/g; s/^\([-.'"'"']\)/\\\&\1/' |
    { echo .nf; cat; echo .fi; }
  printf '\n'
done >>"$work/include"
help2man --no-info --section="$section" --include="$work/include" \
  --name="$(sed -n 's/^\.\\" name: //p' "$include")" --version-string="$("$program" --version | head -n 1)" \
  --output="$work/page" "$program"
gzip -9nc "$work/page" >"$page"
