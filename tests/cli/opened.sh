# An opened sample: what was seen in it, and its calculations as commands of their own.
. "$top/tests/cli/helpers"
# The board is 17 K above the air at 100 A: at 180 A it comes to 90 °C, the cell, 3 K above it, nowhere near 60 °C.
run 0 wire '4 x 10 AWG' --length 22cm --current 100A --burst 200A --insulation 200°C --air 35°C --cell 38°C --board 52°C
has out "4 × 10 AWG" "set by           the board" "280 A" "volts lost"
run 0 wire '10 AWG' --length 1m --current 52A --insulation 75°C --air 30°C --json
need_python
python3 - out <<'END'
import json, sys
found = json.load(open(sys.argv[1]))
assert found["boats_a"] == 40 and found["set_by"] == "its insulation", found
drop = found["at"][0]["drop_v"]
assert drop["low"] < 52 * (5e-5 * 2 + 0.003277 * (1 + 0.00393 * 45)) < drop["high"], drop
END
run 2 wire '10 AWG' --length 18cm
has err "size, length and current"
run 2 wire 'ten' --length 18cm --current 3A
has err "no size of a conductor"
run 0 wire '18 AWG' --length 1m --current 400A
has out "cannot tell"

run 0 thermistor --r25 10kΩ --beta 3435 28.704kΩ 25°C
has out "0.00 ±" "10 kΩ"
run 0 thermistor --r25 10kΩ --beta 3435 -20°C
has out "77.52 kΩ"
run 2 thermistor --r25 10kΩ 5kΩ
has err "R25 with B"
run 2 thermistor --point 10kΩ,25°C --point 10kΩ,30°C --point 5kΩ,40°C 3kΩ
has err "three different temperatures"

run 0 cellcode "zzzcb99 abcdefg b3c 0000123" --tested 2026-03-14 --json
has out '"made": "2021-03-12"' '"age_days": 1828'
run 0 cellcode ZZZCB99
has out "unknown layout"
run 2 cellcode --tested tomorrow ZZZ
has err "2026-03-14"

run 0 casesize 329 172 238 --group 31
has out "BCI 31" "fits"
run 0 casesize 335 172 238 --group 31 --json
has out '"fit": "too large"' '"over_mm": 5'
run 2 casesize 329 172
has err "three sides"
run 2 casesize 329 172 214 --group 99
has err "Known are"

run 0 opened "$demo/hut-pack.opened" --label "$demo/hut-pack.label"
has out "INVENTED" "conductor plus lead" "table for boats" "140 A" "against the label" "100 A continuous: the board in it is marked for 80 A" "To look at next"
run 0 opened "$demo/hut-pack.opened" --json
has out '"slug": "conductor-plus-lead"' '"against": ""'
run 0 opened --blank --label "$demo/hut-pack.label"
has out "Local codes"
run 2 opened
has err "no file given"
run 2 opened --blank "$demo/hut-pack.opened"
run 3 opened nowhere.opened
printf '[opened]\n[conductor]\nlenght = 20 mm\n' >bad.opened
run 5 opened bad.opened
has err "bad.opened:3" "length"
printf '[conductor]\nlength = 20\n' >bad.opened
run 5 opened bad.opened
has err "bad.opened:2:10" "one length"
run 0 assess "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --opened "$demo/hut-pack.opened" --json
has out '"slug": "board"' '"weakest_a": 80'
