# A test is recorded: typed lines, lines of an instrument, calls to a command, a kill and its resumption, refusals.
. "$top/tests/cli/helpers"
"$rundown" book new w.book >/dev/null

# Typed by eye, without any rig: the lines are the test, and it is assessed as a readings file is.
(
    echo '13.31 V  0 A'
    sleep 1.1
    echo '12.91 V  24.8 A  inverter on'
    sleep 1.1
    echo '12.9 xyz 7'
    echo '12.80 V  25.1 A  0.015 Ah'
    sleep 1.1
    echo 'meter dark'
) | "$rundown" record w.book --sample 'Hut pack 3' --for 4s --quiet >out 2>err
has out "Recording run 1 of Hut pack 3" "the lines you type are the test" "inverter on" "has no unit" \
    "the time asked for was over" "BMS opened"
run 0 run show w.book 1
has out "Hut pack 3" "typed"
run 0 assess w.book:1 --json
has out '"readings": 4'

# An instrument on standard input; a command is run for each call, which the recording does not wait for.
cat >in.rig <<'END'
# Invented.
name = Standard input
[meter]
driver = lines
address = stdin
voltage from = field 1
current from = field 2
END
# shellcheck disable=SC2016 # for the command that is run
lines() { awk 'BEGIN { for (k = 0; k < 300; k++) { print (k < 100 ? "13.31,0.00" : "12.9" k % 7 ",24.8" k % 10); system("sleep 0.01") } }'; }
# shellcheck disable=SC2016 # likewise
lines | "$rundown" record w.book --sample 'Hut pack 4' --rig in.rig --json --limit 'low 12.95 V' \
    --on-call 'printf "%s|%s|%s\n" "$RUNDOWN_CALL_KIND" "$RUNDOWN_SAMPLE" "$1" >>called; sleep 1' >out 2>err
has called "step|Hut pack 4|The load is on" "limit|Hut pack 4|"
has out '"call":"step"' '"ended":"every instrument came to its end","run":2' '"form":1'
if command -v python3 >/dev/null; then
    python3 -c 'import json, sys
lines = [json.loads(line) for line in open("out")]
assert lines[-1]["run"] == 2 and lines[-1]["assessment"]["form"] == 1, lines[-1]
assert max(line.get("readings", 0) for line in lines) > 100
assert all(line["committed"] or line["behind_s"] < 2 for line in lines if "committed" in line)'
fi
run 0 book check w.book

# Killed, and gone on with.
mkfifo feed
lines >feed &
"$rundown" record w.book --sample 'Hut pack 5' --rig in.rig --quiet <feed >out 2>err &
recorder=$!
sleep 2.2
run 0 run show w.book 3 # meanwhile, by a reader
kill -9 "$recorder"
wait "$recorder" 2>/dev/null || true
run 0 book check w.book
run 0 run show w.book 3
has out "open"
lines | "$rundown" record w.book --sample 'Hut pack 5' --resume --quiet >out 2>err
has out "Going on with run 3 of Hut pack 5" "every instrument came to its end"
run 0 run show w.book 3
hasnt out "open"
run 0 assess w.book:3 --quiet
has out "stopped without ending the run"

# What cannot be is said, with a way out.
run 2 record w.book --sample 'Hut pack 5' --resume
has err "no run that was left open"
run 3 record nowhere.book --sample S
has err "there is no such file" "rundown book new"
run 2 record w.book
has err "--sample NAME"
run 2 record w.book --sample S --kind sideways
has err "discharge, charge, rest, protection"
run 2 record w.book --sample S --for soon
has err "90min"
run 3 record w.book --sample S --rig nowhere.rig
has err "nowhere.rig"
run 2 record w.book --sample S --rig in.rig --limit 'sideways 3 V'
run 0 sample list w.book
hasnt out "S " # nothing was begun
mkfifo quiet
"$rundown" record w.book --sample 'Hut pack 6' --quiet <quiet >/dev/null 2>&1 &
recorder=$!
exec 3>quiet
for _ in 1 2 3 4 5 6 7 8 9 10; do [ ! -e w.book-recording ] || break; sleep 0.1; done
run 4 record w.book --sample 'hut pack 6' --for 1s
has err "is being recorded already, by process $recorder"
kill -INT "$recorder"
wait "$recorder" || true
[ ! -e w.book-recording ] || fail "the lock's file is left"
