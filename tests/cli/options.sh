# Every option that a command knows is in the manual page below that command, and the page names no other there.
for command in $("$rundown" help --words); do
    [ "$command" != help ] || continue
    grep -q "^\.Ss $command\$" "$top/docs/rundown.1"
    "$rundown" help --words "$command" | tr -d = | sort >known
    # The tagged items between its heading and the next.
    awk -v title="$command" '/^\.S[sh]/ { here = $2 == title } here && /^\.It/' "$top/docs/rundown.1" |
        grep -oE 'Fl -[a-z0-9-]+' | sed 's/^Fl -/--/' | sort -u >page
    diff -u known page
done
