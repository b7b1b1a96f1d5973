# Colour is for terminals: a pipe gets none, NO_COLOR wins over a terminal, --colour over both.
. "$top/tests/cli/helpers"
escape=$(printf '\033')
set -- "$demo/bivouac-pack.readings" --label "$demo/bivouac-pack.label" --quiet
run 0 assess "$@"
hasnt out "$escape"
run 0 assess "$@" --colour always
has out "${escape}[1;35mnot met${escape}[0m"
run 0 assess "$@" --colour never
hasnt out "$escape"
# The words are the same with and without.
"$rundown" assess "$@" >plain
"$rundown" assess "$@" --colour always | sed "s/$escape\[[0-9;]*m//g" | cmp - plain
script -qec true /dev/null </dev/null >pty 2>&1 || exit 0 # no script, or a place without pseudo-terminals
terminal() { # COMMAND: run on a terminal of its own
    script -qec "$1" /dev/null </dev/null >out
}
words="'$rundown' assess '$1' --label '$3' --quiet"
terminal "$words"
has out "${escape}["
terminal "NO_COLOR=1 $words"
hasnt out "${escape}["
terminal "NO_COLOR=1 $words --colour always"
has out "${escape}["
