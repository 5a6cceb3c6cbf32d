# fish completion: commands and options as the programs' own --help tells them.
function __noonfall_options
    set -l line (commandline -opc)
    set -l asked $line[1]
    if test (basename $line[1]) = noonfall; and set -q line[2]
        set asked $asked $line[2]
    end
    $asked --help 2>/dev/null | string match -ra -- '(?<=^| |,)--[a-z0-9-]+'
end
function __noonfall_commands
    set -l line (commandline -opc)
    $line[1] --help 2>/dev/null | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  *\(.*\)/\1\t\2/p'
end
complete -c noonfall -n 'test (count (commandline -opc)) -eq 1' -f -a '(__noonfall_commands)'
for program in noonfall noonfalld noonfall-camera
    complete -c $program -n 'string match -q -- "-*" (commandline -ct)' -f -a '(__noonfall_options)'
end
