# A run is shown with what its readings come to and what happened; it is corrected with the old value kept.
. "$top/tests/cli/helpers"
cp "$top/tests/golden/form-1.book" golden.book
run 0 run list golden.book
has out "discharge" "Hut pack 014" "invented" "open, invented"
run 0 run list golden.book --sample hut-pack-014 --json
if command -v python3 >/dev/null; then
    python3 -c '
import json
(run,) = json.load(open("out"))["runs"]
assert (run["run"], run["kind"], run["open"], run["sample_name"]) == (1, "discharge", True, "Hut pack 014"), run
assert run["start_utc_s"] == 1789999000.25, run'
fi
run 0 run show golden.book 1
has out "run 1 of Hut pack 014: invented (invented)" "discharge, rehearsed, 0:05:47, open" "--resume" \
    "bench meter, Invented,Bench meter,0007,1.0: 17354 readings" "voltage" "current" "cell 3 temperature" \
    "4.2 s to 9.8 s" "instrument silent" "burst" "kind: 'charge' became 'discharge'" "rig bench.rig"
tr -s ' ' <out >squeezed
has squeezed "voltage 17336 numbers" "13.021 to 13.316 V"
run 0 run correct golden.book 1 --name "first of the hut" --kind whole --rig "$demo/hut-pack.rig" --label "$demo/hut-pack.label"
has out "first of the hut" "whole, rehearsed" "name: 'invented' became 'first of the hut'" "rig hut-pack.rig"
run 2 run correct golden.book 1 --kind dischrage
has err "the kind of a run cannot be 'dischrage'"
run 2 run correct golden.book 1 --sample nobody
has err "there is no sample 'nobody'"
run 2 run correct golden.book 1
has err "what is to be corrected?"
run 2 run list golden.book --yes
has err "run list has no use for --yes"
run 0 run show golden.book 1 --json
if command -v python3 >/dev/null; then
    python3 - "$demo" <<'PYTHON'
import json, sys
run = json.load(open("out"))
assert run["kind"] == "whole" and run["name"] == "first of the hut", run
assert run["rig"]["text"] == open(sys.argv[1] + "/hut-pack.rig").read(), run["rig"]
(stream,) = run["streams"]
assert stream["readings"] == 17354 and [c["unit"] for c in stream["columns"]] == ["V", "A", "\u00b0C"], stream
assert stream["columns"][0]["max"] == 13.316, stream
assert [c["field"] for c in run["corrections"]] == ["kind", "name", "kind", "label", "rig"], run["corrections"]
assert {e["kind"] for e in run["events"]} == {"gap", "line"}, run["events"]
PYTHON
fi
run 0 book check golden.book
run 2 run remove golden.book 1
has err "this removes run 1, first of the hut, with all its readings for good"

# On a terminal it asks, and takes no for an answer.
if command -v script >/dev/null; then
    printf 'n\n' | script -qec "$rundown run remove golden.book 1" answers >/dev/null && fail "no is no"
    has answers "Go on? [y/N]" "nothing was removed"
    run 0 run show golden.book 1
    printf 'y\n' | script -qec "$rundown run remove golden.book 1" answers >/dev/null || fail "yes is yes"
    run 2 run show golden.book 1
    has err "there is no run 1"
fi
run 0 book check golden.book
