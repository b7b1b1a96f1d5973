# Instruments are tried before a test depends on them: readings with what the accuracy means, faults with a remedy.
. "$top/tests/cli/helpers"
: >rows.csv
cat >bench.rig <<'RIG'
# Invented.
name = Hut workshop
[voltage]
accuracy = 0.05 % + 2 digits
resolution = 0.01 V
[meter by the window]
driver = file
address = rows.csv
voltage from = field 1
current from = field 2 in mA reversed
temperature of the sensor from = field 3
[meter in the drawer]
driver = modbus
address = serial no/such/line 19200 8E1
ambient from = input 0 i16 times 0.1
RIG
while :; do
    echo '12.91;-20500;21.0'
    echo '12.91;-20504;21.0'
    sleep 0.02
done >>rows.csv &
writer=$!
trap 'kill $writer' EXIT
run 3 instruments probe bench.rig --seconds 0.6
tr -s ' ' <out >squeezed && mv squeezed out
has out "[meter by the window] file, rows.csv" "voltage 12.91 V ± 0.026 V no noise seen" \
    "current 20.50" "A ± 0.41 A noise 0.0028 A" "temperature of the sensor 21.0 °C no noise seen" "no part of the findings" \
    "[meter in the drawer] modbus, serial no/such/line 19200 8E1" "cannot reach serial no/such/line 19200 8E1: No such file" \
    "Is it plugged in" "isolated interfaces" "Never run the recorder from the inverter under test" "fuse at the source"
run 3 instruments probe bench.rig --seconds 0.4 --json
! command -v python3 >/dev/null || python3 - <<'PYTHON'
import json
probed = json.load(open("out"))
first, second = probed["instruments"]
volts = first["channels"][0]
assert (volts["name"], volts["unit"], volts["reading"]) == ("voltage", "V", 12.91), volts
assert abs(volts["bound"] - (0.0005 * 12.91 + 0.02)) < 1e-12, volts
assert first["fault"] is None and second["fault"] and second["remedy"], second
assert second["channels"][0]["reading"] is None
PYTHON
sed '/drawer/,$d' bench.rig >window.rig
run 0 instruments probe window.rig --seconds 0.4

run 0 instruments list
has out "Drivers:" "registers of Modbus instruments" "topics of an MQTT broker" "docs/instruments.md"
run 0 instruments list --json
has out '"devices"' '"drivers"'

run 2 instruments
has err "rundown instruments probe RIG"
run 2 instruments prob bench.rig
has err "instruments cannot 'prob'"
run 2 instruments probe
has err "probe needs a rig file"
run 2 instruments probe bench.rig --seconds soon
has err "'soon'"
run 2 instruments list bench.rig
has err "takes no further word"
printf 'name = x\n' >bare.rig
run 5 instruments probe bare.rig
has err "names no instrument" "docs/instruments.md"
sed 's/i16/i24/' bench.rig >odd.rig
run 5 instruments probe odd.rig
has err "odd.rig:15:16: 'i24' is not understood in a Modbus source"
run 3 instruments probe none.rig
has err "none.rig"
