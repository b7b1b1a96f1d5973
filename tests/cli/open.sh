# What `open` refuses before it serves, and that it leaves nothing behind; tests/http asks it while it serves.
. "$top/tests/cli/helpers"
run 2 open
has err "which book"
run 2 open a.book b.book
has err "one book at a time"
run 2 open a.book --port nonsense
has err "is no port"
run 2 open a.book --port 65536
run 2 open a.book --port 1.5
run 3 open nowhere.book --no-browser
has err "nowhere.book" "rundown book new"
echo "this is no book" >odd.book
run 3 open odd.book --no-browser
has err "odd.book"
mkdir folder.book
run 3 open folder.book --no-browser
[ "$(echo ./*)" = "./err ./folder.book ./odd.book ./out" ] || fail "something was left behind: $(echo ./*)"
"$rundown" book new hut.book >/dev/null
(trap '' HUP; exec "$rundown" open hut.book --no-browser --quiet --port 0) >address &
server=$!
while ! [ -s address ]; do
    kill -0 "$server" || fail "the server ended"
    sleep 0.02
done
grep -qxE 'http://[0-9.]+:[0-9]+/' address
run 4 open hut.book --no-browser
has err "$(cat address)"
kill -HUP "$server" # as one that nohup started
"$rundown" sample list hut.book >/dev/null
kill -0 "$server" || fail "the server ended with its terminal"
kill -INT "$server"
wait "$server"
rm -f address err out
[ "$(echo ./*)" = "./folder.book ./hut.book ./odd.book" ] || fail "something was left behind: $(echo ./*)"
