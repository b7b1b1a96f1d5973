# The JSON is JSON, holds the documented keys, and each measured quantity is an object with value and
# standard uncertainty: null beside a reason where nothing can be told.
. "$top/tests/cli/helpers"
need_python
cat >check.py <<'END'
import json, sys
def measured(m, where):
    assert set(m) >= {"value", "standard_uncertainty"}, (where, m)
    assert (m["value"] is None) == ("cannot_tell" in m), (where, m)
d = json.load(open("out"))
assert d["program"] == "rundown" and d["form"] == 1
assert set(d) >= {"runs", "totals", "capacity", "steps", "claims", "columns", "warnings"}, set(d)
assert set(d["totals"]) == {"discharge_ah", "discharge_wh", "charge_ah", "charge_wh"}
for key, m in d["totals"].items():
    measured(m, key)
for run in d["runs"]:
    assert run["kind"] in ("rest", "charge", "discharge")
    assert run["end_s"] > run["start_s"] and isinstance(run["ended_by"], str)
    for key in ("charge_ah", "energy_wh", "mean_v"):
        measured(run[key], key)
for c in d["capacity"]:
    assert c["cut_off_v"] > 0
    measured(c["charge_ah"], "capacity"), measured(c["energy_wh"], "capacity")
for step in d["steps"]:
    assert set(step) >= {"at_s", "from_a", "to_a", "resistance_ohm"}
    for r in step["resistance_ohm"]:
        measured(r, "resistance")
        assert r["delay_s"] >= 0
for claim in d["claims"]:
    assert set(claim) >= {"claim", "stated", "measured", "probability", "verdict"}
    measured(claim["measured"], claim["claim"])
    assert claim["verdict"] in ("met", "not met", "too close to call", "not exercised", "not tested")
for column in d["columns"]:
    assert set(column) >= {"log", "number", "header", "taken_for", "unit", "why"}
for warning in d["warnings"]:
    assert set(warning) >= {"topic", "text"}
wanted = dict(word.split("=") for word in sys.argv[1:])
for key, count in wanted.items():
    assert len(d[key]) >= int(count), (key, len(d[key]))
END
run 0 assess "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --json --quiet
python3 -m json.tool <out >/dev/null
python3 check.py runs=3 capacity=2 steps=4 claims=18 columns=7 warnings=1 bursts=1
run 0 assess "$demo/hut-pack.readings" --label "$demo/hut-pack.label" --json --quiet
python3 check.py runs=1 claims=18
# A cut-off asked for is there even when it was not reached.
run 0 assess "$demo/hut-pack.log.csv" --json --quiet --cut-off 10.8 --cut-off 11.4V --cut-off 3
python3 check.py capacity=3
python3 -c 'import json
found = {c["cut_off_v"]: c for c in json.load(open("out"))["capacity"] if c["asked"]}
assert found[10.8]["charge_ah"]["value"] > found[11.4]["charge_ah"]["value"] > 90
assert not found[3]["reached"] and found[3]["charge_ah"]["value"] is None'
# Nothing of volts is known.
printf 'time(s),current(A)\n' >amps.csv
for k in $(seq 0 10 600); do echo "$k,5.$((k % 9))"; done >>amps.csv
run 0 assess amps.csv --current discharge-positive --json --quiet
python3 check.py runs=1
python3 -c 'import json
assert json.load(open("out"))["totals"]["discharge_wh"]["cannot_tell"] != ""'
