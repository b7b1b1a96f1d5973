# Help goes to standard output, costs nothing, and every command has its own.
"$rundown" --version | grep -qE '^rundown [0-9]+\.[0-9]+\.[0-9]+$'
"$rundown" --help | grep -q 'assess'
for command in $("$rundown" help --words); do
    "$rundown" "$command" --help >help
    "$rundown" help "$command" | cmp - help
    grep -q "usage: rundown $command" help
    [ "$(awk '{ if (length($0) > most) most = length($0) } END { print most }' help)" -le 125 ]
done
