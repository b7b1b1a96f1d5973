# A rehearsal: its files, its servers as other makers' clients see them, and what was found beside what was true.
. "$top/tests/cli/helpers"

run 0 rehearse --only-write --truth truth.json --label pack.label --rig bench.rig --log bench.csv
has pack.label "invented = yes" "capacity = 100 Ah"
has bench.rig "INVENTED" "driver = scpi" "driver = modbus" "driver = lines" "rehearsal rate = 60"
run 0 assess bench.csv --label pack.label --rig bench.rig --json
mv out found.json
has found.json '"invented_data": true'
run 0 rehearse --compare truth.json found.json
has out "Ah delivered" "Wh that the burst cost" "inside their 95 % interval"
# Twenty values or so, each held in 95 of 100: a quarter missed would be no accident.
awk '/ true values lie/ { exit !($1 >= 0.75 * $3 && $3 >= 10) }' out || fail "too few true values are held"
run 5 rehearse --compare found.json truth.json
run 5 rehearse --compare truth.json truth.json
run 2 rehearse --compare truth.json
run 3 rehearse --compare truth.json nowhere.json

# The same seed, the same truth; another, another.
run 0 rehearse --only-write --truth again.json
cmp truth.json again.json || fail "the same seed gave another truth"
run 0 rehearse --only-write --seed 22 --truth other.json
! cmp -s truth.json other.json || fail "another seed gave the same truth"

run 0 rehearse --print-script
cp out own.rehearsal
run 0 rehearse own.rehearsal --only-write --truth again.json
cmp truth.json again.json || fail "the printed script is not the one that is played"
run 0 rehearse "$demo/cold-night.rehearsal" --only-write --truth cold.json
has cold.json "dark for too much current" "too cold to charge"

run 2 rehearse --speed 0.5
run 2 rehearse --speed 20000
run 2 rehearse --mqtt :1883
run 2 rehearse one.rehearsal two.rehearsal
run 3 rehearse nowhere.rehearsal
run 3 rehearse --only-write --truth nowhere/truth.json
printf '[program]\ndischarge = 20 A\n' >short.rehearsal
run 5 rehearse short.rehearsal
has err "short.rehearsal" "until cut-off"

# Served: a short bench, fast, from the first poll to its end.
cat >quick.rehearsal <<'END'
seed = 5
[pack]
charged = 9 %
[program]
rest = 1 min
discharge = 60 A, until cut-off
rest = 2 min
charge = 20 A, to 14.4 V, for 5 min
END
"$rundown" rehearse quick.rehearsal --speed 300 --rig quick.rig --now >served 2>served.err &
bench=$!
for _ in 1 2 3 4 5 6 7 8 9 10; do
    [ -s quick.rig ] && break
    sleep 0.05
done
modbus=$(sed -n 's/.*Modbus TCP 127.0.0.1:\([0-9]*\)/\1/p' served)
scpi=$(sed -n 's/.*SCPI *127.0.0.1:\([0-9]*\)/\1/p' served)
if command -v mbpoll >/dev/null; then
    mbpoll -m tcp -p "$modbus" -0 -B -1 -t 3:int -r 0 -c 5 127.0.0.1 >polled || fail "mbpoll gets no answer"
    awk '$1 == "[2]:" { exit !($2 > 9000 && $2 < 14500) }' polled || fail "mbpoll sees no volts"
fi
if command -v python3 >/dev/null; then
    python3 - "$scpi" <<'END' || fail "no SCPI client gets an answer"
import socket, sys
link = socket.create_connection(("127.0.0.1", int(sys.argv[1])), 2).makefile("rw")
link.write("*IDN?\nFETC?\n"); link.flush()
assert link.readline().startswith("Invented,Bench meter"), "identity"
time_s, volts, amps = map(float, link.readline().split(","))
assert time_s >= 0 and 9 < volts < 14.5 and abs(amps) < 70
END
fi
wait "$bench" || fail "the bench did not end well"
bench=
cat served.err
cp served out
has served "opened for an empty cell" "charger, 20 A" "closed again" "What was true:" "Ah and"

# Through a broker, and a recorder that takes the shunt meter from it.
command -v mosquitto >/dev/null || PATH=$PATH:/usr/sbin
command -v mosquitto >/dev/null && command -v python3 >/dev/null || exit 0
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
printf 'listener %s 127.0.0.1\nallow_anonymous true\n' "$port" >broker.conf
mosquitto -c broker.conf >broker.log 2>&1 &
broker=$!
trap 'kill "$broker" ${bench:+"$bench"} 2>/dev/null || true' EXIT
sleep 0.3
run 0 book new quick.book
rm -f quick.rig
timeout 20 "$rundown" rehearse quick.rehearsal --speed 300 --rig quick.rig --label quick.label --truth quick.json \
    --mqtt "127.0.0.1:$port" >served 2>&1 &
bench=$!
for _ in 1 2 3 4 5 6 7 8 9 10; do
    [ -s quick.rig ] && break
    sleep 0.1
done
has quick.rig "driver = mqtt" "topic rundown/rehearsal/all field charge_tally"
lasts=$(sed -n 's/.*"lasts_s": *\([0-9]*\).*/\1/p' quick.json)
run 0 record quick.book --sample quick --rig quick.rig --label quick.label --for "${lasts}s" --quiet
wait "$bench"
bench=
run 0 assess quick.book:1 --json
grep -q '"tally_ah": {' out || fail "no tally came through the broker"
mv out found.json
run 0 rehearse --compare quick.json found.json
has out "Ah delivered"
