# Every open log is assessed without help, or refused with options that then work.
. "$top/tests/cli/helpers"
[ -d "${RUNDOWN_TEST_DATA:-}" ] || { echo "the open measurement data are not here"; exit 77; }
count=0
for log in "$RUNDOWN_TEST_DATA"/*/*.csv "$RUNDOWN_TEST_DATA"/*/*.txt; do
    case $log in *SOURCE* | *README*) continue ;; esac
    got=0
    "$rundown" assess "$log" --quiet >out 2>err || got=$?
    if [ "$got" -eq 4 ]; then
        options=$(grep -oE -e '--(column [a-z]+=[^ ;,.]+|period [0-9]+[a-z]+|current (dis)?charge-positive)' err | tr '\n' ' ')
        [ -n "$options" ] || fail "$log: refused without a remedy"
        # shellcheck disable=SC2086 # several words
        run 0 assess "$log" --quiet $options
    elif [ "$got" -ne 0 ]; then
        fail "$log: status $got"
    fi
    has out "Ah"
    count=$((count + 1))
done
[ "$count" -gt 10 ] || fail "only $count logs found"
# Temperatures alone are no test: said, not guessed.
run 4 assess "$RUNDOWN_TEST_DATA/lmo-pouch-33ah/temperature_1C.tsv"
