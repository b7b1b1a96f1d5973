# A plan says what can be decided, is saved, and a run that follows another course has its departures named.
. "$top/tests/cli/helpers"
set -- --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --loads "$demo/hut-pack.loads"
run 0 plan "$@"
has out "can be decided" "out of reach" "needs another test" "Protocol" "Cautions" "panel heater" "write down"
run 0 plan "$@" --start 9:30
has out "clock times" "08:30" "09:30"
run 0 plan --label "$demo/hut-pack.label"
has out "any steady load"
run 0 plan "$@" --save hut.plan
run 0 assess "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --plan hut.plan --quiet
has out "Departure from the plan" "rest before the load"
hasnt out "Departure from the plan: the base load"
sed 's/^base power.*/base power = 150 W/; s/^sample.*/sample = Sample 99/' hut.plan >other.plan
run 0 assess "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --plan other.plan --quiet
has out "the base load was" "planned 150 W" "Sample 99"
run 3 plan "$@" --save nowhere/x.plan
has err "nowhere/x.plan"
# The papers of a book, and files before them.
run 0 book new hut.book
run 0 sample add hut.book "Hut pack 14" --label "$demo/hut-pack.label" --loads "$demo/hut-pack.loads"
run 0 plan hut.book --sample hut-pack-14 --rig "$demo/hut-pack.rig" --start 9:30
mv out of_book
run 0 plan "$@" --start 9:30
cmp out of_book || fail "papers of a book and files give different plans"
run 0 plan hut.book --sample hut-pack-14 --save hut.plan
grep -qx 'loads = hut-pack.loads' hut.plan || fail "the plan does not name its loads"
run 0 sample correct hut.book hut-pack-14 --plan hut.plan
run 2 plan hut.book
has err "which sample"
run 2 plan hut.book --sample nobody
run 2 plan --sample hut-pack-14
has err "in which book"
# A run that comes into the book after its plan is held against it.
run 0 import hut.book --sample hut-pack-14 "$demo/hut-pack.log.csv"
run 0 assess hut.book --sample hut-pack-14 --quiet
has out "Departure from the plan" "rest before the load"
command -v python3 >/dev/null || exit 0
run 0 plan "$@" --json
python3 -c 'import json
d = json.load(open("out"))
assert d["form"] == 1 and len(d["claims"]) == 18 and len(d["protocol"]) > 6
assert d["base"]["power_w"] > 200 and d["burst"]["current_a"] > 100
assert {c["outlook"] for c in d["claims"]} >= {"can be decided", "out of reach", "needs another test"}'
# The page's plan is the command's, as is the one that it saves.
"$rundown" open hut.book --port 0 --no-browser --quiet >address 2>err &
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
    return json.load(urllib.request.urlopen(request))["plan"]
json.dump([ask("GET", "/api/samples/1/plan?start=none"),
           ask("POST", "/api/samples/1/plan", b'{"start": "21:45"}')], open("of_page", "w"))
END
kill $server
wait $server || :
trap - EXIT
run 0 plan hut.book --sample hut-pack-14 --json
python3 - <<'END'
import json
def rounded(x): # to the digits that the command prints
    if isinstance(x, dict): return {k: rounded(v) for k, v in x.items()}
    if isinstance(x, list): return [rounded(v) for v in x]
    return float("%.12g" % x) if isinstance(x, (int, float)) else x
command = json.load(open("out"))
unsaved, saved = json.load(open("of_page"))
assert rounded(saved) == rounded(command) and command["start_clock_s"] == 78300, (saved, command)
for plan in (unsaved, command):
    plan["start_clock_s"] = None
    for step in plan["protocol"]: step["when"] = ""
assert rounded(unsaved) == rounded(command)
END
