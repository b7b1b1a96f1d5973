# Where two columns could serve the log is refused; the very option that the refusal names settles it.
. "$top/tests/cli/helpers"
{
    echo "time(s),volts A (V),volts B (V),current(A)"
    for k in $(seq 0 5 900); do
        amps=0.0$((k % 3))
        [ "$k" -le 60 ] || amps=9.9$((k % 7))
        echo "$k,13.$((900 - k / 2)),13.$((890 - k / 2)),$amps"
    done
} >two.csv
run 4 assess two.csv --quiet
has err "two.csv:1" "--column"
option=$(grep -o -- '--column [a-z]*=[0-9]*' err | head -n 1)
[ -n "$option" ] || fail "no option named"
# shellcheck disable=SC2086 # two words
run 0 assess two.csv --quiet $option
# The same by its header, and it says that it was asked for.
run 0 assess two.csv --columns --column "voltage=volts B (V)"
has out "column 3 'volts B (V)': asked for"
run 0 assess two.csv --columns --column voltage=2
has out "column 2 'volts A (V)': asked for" "not used: 3 'volts B (V)'"
run 2 assess two.csv --column voltage=nonsense
has err "nonsense"
