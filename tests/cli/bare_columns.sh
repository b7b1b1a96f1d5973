# A log without times and header, and one without a sign: --column, --period and --current settle them.
. "$top/tests/cli/helpers"
for k in $(seq 1 400); do
    amps=0.0$((k % 3))
    [ "$k" -le 20 ] || amps=4.9$((k % 7))
    echo "13.$((900 - k)) $amps"
done >bare.txt
run 4 assess bare.txt --quiet
has err "bare.txt:1" "--period" "--column voltage=N"
run 0 assess bare.txt --period 2s --column voltage=1 --column current=2 --columns
has out "400 readings" "discharge as positive"
run 0 assess bare.txt --period 2s --column voltage=1 --column current=2 --quiet --explain charge
# 380 rows of 4.93 A, one every 2 s: 1.04 Ah
has out "charge delivered" "1.0"
run 0 assess bare.txt --period 4s --column voltage=1 --column current=2 --quiet --explain charge
has out "charge delivered" "2.0"

# Current alone: no volts tell which way it runs.
{
    echo "time(s),current(A)"
    for k in $(seq 0 10 3600); do
        amps=0.00
        [ "$k" -lt 100 ] || [ "$k" -gt 3400 ] || amps=5.0$((k % 7))
        echo "$k,$amps"
    done
} >amps.csv
run 4 assess amps.csv --quiet
has err "amps.csv" "--current discharge-positive"
run 0 assess amps.csv --quiet --current discharge-positive
has out "delivered" "energy: cannot tell"
run 0 assess amps.csv --quiet --current charge-positive
has out "holds no discharge"
run 0 assess amps.csv --quiet --current discharge-positive --label "$demo/hut-pack.label"
has out "not tested"
