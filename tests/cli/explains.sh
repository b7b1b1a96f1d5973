# Every finding and every claim can be explained, from the readings to the number; every claim gets a card.
. "$top/tests/cli/helpers"
papers="--label $demo/hut-pack.label --rig $demo/hut-pack.rig --quiet"
for finding in charge energy mean-voltage resistance burst load ending tally conditions protections rate; do
    run 0 assess "$demo/hut-pack.log.csv" --rig "$demo/hut-pack.rig" --quiet --explain $finding
    [ "$(wc -l <out)" -ge 1 ] || fail "--explain $finding says nothing"
    run 0 assess "$demo/hut-pack.readings" --quiet --explain $finding
    [ -s out ] || fail "--explain $finding says nothing of readings by eye"
done
# shellcheck disable=SC2086 # several words
run 2 assess "$demo/hut-pack.log.csv" $papers --reply none
claims=$(sed -n 's/.*[Cc]laims are: //p' err | tr -d ,)
[ "$(echo "$claims" | wc -w)" -eq 18 ] || fail "the refusal lists other than 18 claims"
for claim in $claims; do
    # shellcheck disable=SC2086
    run 0 assess "$demo/hut-pack.log.csv" $papers --explain "$claim"
    has out "verdict: "
    # shellcheck disable=SC2086
    run 0 assess "$demo/hut-pack.log.csv" $papers --reply "$claim"
    has out "Result" "Evidence" "Largest doubt" "What would overturn it" "INVENTED DATA"
done
# A claim may be written as it is shown.
# shellcheck disable=SC2086
run 0 assess "$demo/hut-pack.log.csv" $papers --reply "Peak current"
has out "Not exercised" "200 A for 5 s"
