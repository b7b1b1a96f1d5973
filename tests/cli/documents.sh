# What the documents show as an example works as it stands there.
. "$top/tests/cli/helpers"
block() { # DOCUMENT NUMBER: its fenced block of that number that names a language or none
    awk -v number="$2" '/^```/ { open = !open; if (open) count++; next } open && count == number' "$top/docs/$1.md"
}
block label 1 >example.label
block loads 1 >example.loads
block rig 1 >example.rig
block readings 1 >example.readings
[ -s example.label ] && [ -s example.loads ] && [ -s example.rig ] && [ -s example.readings ]
run 0 assess "$demo/hut-pack.log.csv" --label example.label --rig example.rig --quiet
has out "Sample 014" "INVENTED DATA" "Charging stops when cold" "seen not to"
hasnt out "answers no claim"
run 0 assess example.readings --label example.label --quiet
run 0 plan --label example.label --rig example.rig --loads example.loads
block json 1 >example.json
! command -v python3 >/dev/null || python3 -m json.tool <example.json >/dev/null

# Each rig file of docs/instruments.md is understood; there is no instrument behind it (3), and no fault in it (5).
count=$(grep -c '^```ini' "$top/docs/instruments.md")
[ "$count" -ge 6 ]
for number in $(seq "$count"); do
    block instruments "$number" | sed 's/ = tcp [a-z0-9.]*:[0-9]*/ = tcp 127.0.0.1:1/' >example.rig
    run 3 instruments probe example.rig --seconds 0.1
    has out "$(grep -m 1 '^\[' example.rig)"
done
