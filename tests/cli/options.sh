# Every option that the program knows is in the manual page, and the page names no other.
for command in assess plan record; do
    "$rundown" help --words "$command" | tr -d = | sort >"$command.known"
    # The options of a command are the tagged items between its heading and the next.
    sed -n "/^\.Ss $command\$/,/^\.S[sh] /p" "$top/docs/rundown.1" | sed -n 's/^\.It Fl -\([a-z-]*\).*/--\1/p' >"$command.page"
done
# What several commands take is described once.
cat ./*.known | sort -u >known
cat ./*.page | sort -u >page
diff -u known page
"$rundown" help --words | grep -v '^help$' | while read -r command; do
    grep -q "^\.Ss $command\$" "$top/docs/rundown.1"
done
