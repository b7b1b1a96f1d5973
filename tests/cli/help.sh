# Help goes to standard output, costs nothing, and every command has its own.
"$rundown" --version | grep -qE '^rundown [0-9]+\.[0-9]+\.[0-9]+$'
"$rundown" --help | grep -q 'assess'
for command in $("$rundown" help --words); do
    "$rundown" "$command" --help >help
    "$rundown" help "$command" | cmp - help
    grep -q "usage: rundown $command" help
    [ "$(awk '{ if (length($0) > most) most = length($0) } END { print most }' help)" -le 125 ]
done
# The manual page has each option of each command, below its command.
for command in $("$rundown" help --words); do
    [ "$command" != help ] || continue
    awk -v title="$command" '/^\.S[sh]/ { here = $2 == title } here' "$top/docs/rundown.1" >described
    for option in $("$rundown" help --words "$command" | tr -d =); do
        grep -qE "[. ]Fl $(echo "$option" | cut -c 2-)\b" described || { echo "$command $option: not in the manual page" >&2; exit 1; }
    done
done
