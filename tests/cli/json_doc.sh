# Every key that the JSON of both commands holds is in docs/json.md.
. "$top/tests/cli/helpers"
need_python
cat >keys.py <<'END'
import json, sys
def keys(x):
    if isinstance(x, dict):
        for k, v in x.items():
            yield k
            yield from keys(v)
    elif isinstance(x, list):
        for v in x:
            yield from keys(v)
print("\n".join(sorted({k for path in sys.argv[1:] for k in keys(json.load(open(path)))})))
END
run 0 assess "$demo/hut-pack.log.csv" "$demo/hut-pack.readings" --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --json --quiet
mv out assess.json
# A bad row, no volts, a warning with a line.
{
    echo "time(s),current(A)"
    for k in $(seq 0 10 3000); do echo "$k,5.$((k % 7))"; done
    echo "3010,five"
    echo "3020,5.1"
} >amps.csv
run 0 assess amps.csv --current discharge-positive --json --quiet
mv out amps.json
# A pulse pair: 20 A for 10 s, then 100 A for 1 s.
awk 'BEGIN {
    print "time(s),voltage(V),current(A)"
    for (k = 0; k <= 300; k++) {
        t = k * 0.2; v = 13.2; a = 0
        if (t >= 10 && t < 20) { v = 13.08; a = 20 }
        if (t >= 20 && t < 21) { v = 12.7; a = 100 }
        printf "%.1f,%.3f,%.2f\n", t, v + 0.001 * (k % 3), a + 0.01 * (k % 2)
    }
}' >pair.csv
run 0 assess pair.csv --json --quiet
mv out pair.json
run 0 plan --label "$demo/hut-pack.label" --loads "$demo/hut-pack.loads" --json
mv out plan.json
python3 keys.py assess.json amps.json pair.json plan.json | grep -vE '^(ambient )?(temperature|voltage|current|power)$|^(charge|energy) tally$|^accuracy$' >keys
while read -r key; do
    grep -qF "\`$key\`" "$top/docs/json.md" || { echo "docs/json.md does not describe '$key'"; touch missing; }
done <keys
[ ! -e missing ] || exit 1
