# What is dropped on a page is stored as `rundown import` stores it: the exports of the two books are the same bytes, but
# for when each was added.
. "$top/tests/cli/helpers"
need_python
{
    echo "zeit s;U V;I A;extra V"
    for k in 0 1 2 3 4 5 6 7 8 9; do echo "$k;13,${k}5;-2${k},50;1"; done
    echo "10;nothing;-20,1;1"
} >bench.csv
printf 'title: by eye\n0:00  13.31 V  0 A\n0:10:00  12.98 V  22.6 A  burst\n103..104 Ah (remembered)\n' >film.readings

run 0 book new typed.book
run 0 import typed.book bench.csv --sample "Bivouac 2" --kind discharge --column voltage=2 --current charge-positive
run 0 import typed.book film.readings --sample "Bivouac 2" --kind whole
run 0 book export typed.book of_command

run 0 book new dropped.book
"$rundown" open dropped.book --port 0 --no-browser --quiet >address 2>err &
server=$!
trap 'kill $server 2>/dev/null || :' EXIT
python3 - <<'END'
import json, time, urllib.request
for _ in range(200):
    words = open("address").read().split()
    if words: break
    time.sleep(0.02)
base = words[0].rstrip("/")
def ask(method, path, body=None):
    request = urllib.request.Request(base + path, data=body, method=method, headers={"Origin": base})
    return json.load(urllib.request.urlopen(request))
def store(name, said, wish):
    drop = ask("POST", "/api/drops?name=" + name, open(name, "rb").read())
    if said: drop = ask("PATCH", "/api/drops/%d" % drop["drop"], json.dumps(said).encode())
    assert drop["fault"] is None, drop["fault"]
    task = ask("POST", "/api/drops/%d/confirm" % drop["drop"], json.dumps(wish).encode())["task"]
    while True:
        state = ask("GET", "/api/tasks/%d" % task)
        if state["state"] != "running": break
        time.sleep(0.01)
    assert state["state"] == "done", state
store("bench.csv", {"columns": ["voltage=2"], "sign": "charge-positive"}, {"sample": "Bivouac 2", "kind": "discharge"})
store("film.readings", None, {"sample": "Bivouac 2", "kind": "whole"})
END
kill $server
wait $server || :
trap - EXIT
run 0 book export dropped.book of_page
for folder in of_command of_page; do
    find $folder -name '*.json' -exec sed -i -E 's/"([a-z_]*utc_ns)": *[0-9]+/"\1": 0/' {} +
done
diff -r of_command of_page
