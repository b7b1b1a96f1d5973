# Several logs of one sample: all are in the findings, totals add up, the rate exponent is fitted or refused.
. "$top/tests/cli/helpers"
run 0 assess "$demo/hut-pack.log.csv" "$demo/hut-pack.readings" --label "$demo/hut-pack.label" --quiet
has out "hut-pack.log.csv" "hut-pack.readings" "rate"
run 0 assess "$demo/hut-pack.log.csv" "$demo/hut-pack.readings" --quiet --explain charge
has out "hut-pack.log.csv" "hut-pack.readings"
# One that cannot be read stops all, and is named.
run 3 assess "$demo/hut-pack.log.csv" absent.csv
has err "absent.csv"
command -v python3 >/dev/null || exit 0
run 0 assess "$demo/hut-pack.log.csv" "$demo/hut-pack.log.csv" --json --quiet
python3 -c 'import json
d = json.load(open("out"))
one = [r["charge_ah"]["value"] for r in d["runs"] if r["kind"] == "discharge"]
assert len(d["logs"]) == 2 and len(d["tests"]) == 2
assert abs(sum(one) - d["totals"]["discharge_ah"]["value"]) < 1e-6
assert {c["log"] for c in d["columns"]} == {0, 1}'
