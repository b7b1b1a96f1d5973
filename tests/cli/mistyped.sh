# What was mistyped is named with its nearest neighbour, and nothing is done.
. "$top/tests/cli/helpers"
run 2 asess
has err "there is no command 'asess'" "Did you mean 'assess'?"
run 2 frobnicate
has err "lists the commands"
run 2 help asess
has err "Did you mean 'assess'?"
run 2 assess x --cutoff 10.8
has err "there is no option --cutoff" "Did you mean --cut-off?"
run 2 assess x --label --rig y
has err "--label needs a value" "--label FILE"
run 2 assess x --json=yes
has err "--json takes no value"
run 2 assess x --colour purple
has err "'purple'" "auto, always, never"
run 2 assess x --current up
has err "discharge-positive, charge-positive"
run 2 assess x --load heavy
has err "constant-power, constant-current, resistance"
run 2 assess x --cut-off low
has err "--cut-off 10.8"
run 2 assess x --cut-off -3
run 2 assess x --period 3V
has err "--period 1s"
run 2 assess x --column current
has err "--column current=3"
run 2 plan
has err "--label FILE"
run 2 plan pack.label
has err "'pack.label'"
run 2 plan --label "$demo/hut-pack.label" --start 25:00
has err "9:30"
run 2 assess "$demo/hut-pack.log.csv" --quiet --explain nothing
has err "there is no finding 'nothing'" "charge" "conditions"
run 2 assess "$demo/hut-pack.log.csv" --quiet --label "$demo/hut-pack.label" --reply capactiy
has err "'capactiy'" "capacity" "cycle-life"
run 2 assess "$demo/hut-pack.log.csv" --quiet --reply capacity
has err "--label"
# A file whose name begins with dashes can still be named.
cp "$demo/hut-pack.label" ./--odd.label
run 0 plan --label=--odd.label
