# The help of a command teaches it: what it is for, an example to copy, every option with a line of its own.
. "$top/tests/cli/helpers"
for command in $("$rundown" help --words); do
    run 0 "$command" --help
    has out "usage: rundown $command"
    "$rundown" help --words "$command" | tr -d = >options
    while read -r option; do
        grep -qE -e "^  $option( [A-Z][A-Za-z.=:|]*)? +[a-zA-Z]" out || fail "$command --help does not explain $option"
    done <options
done
for command in assess plan record; do
    run 0 "$command" --help
    [ "$(grep -c "^  rundown $command" out)" -ge 3 ] || fail "$command --help shows too few examples"
done
run 2
has err "usage: rundown COMMAND" "Exit status"
[ ! -s out ] || fail "usage belongs on standard error when nothing was asked"
