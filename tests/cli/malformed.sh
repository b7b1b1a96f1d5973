# A fault in a paper is told with file, line, column and what to write instead.
. "$top/tests/cli/helpers"
log=$demo/hut-pack.log.csv
printf '[claims]\n\ncapacity = 100 Ah at dusk | case\n' >x.label
run 5 assess "$log" --label x.label
has err "x.label:3:22: " "100 Ah at 0.2 It"
printf '[claims]\ncapactiy = 100 Ah\n' >x.label
run 5 assess "$log" --label x.label
has err "x.label:2" "Did you mean 'capacity'?"
printf '[claims]\ncapacity = 100 Ah at 0.2C, 25C\n' >x.label
run 5 plan --label x.label
has err "x.label:2:28: C here is a rate or a temperature"
printf '[claims]\nmass = 10 kg\n' >x.label
run 5 plan --label x.label
has err "x.label" "capacity = 100 Ah"
printf '[rig]\nvoltage = 0.5 %% + three digits\n' >x.rig
run 5 assess "$log" --rig x.rig
has err "x.rig:2:"
printf '[rig]\nvoltge = 0.5 %%\n' >x.rig
run 5 assess "$log" --rig x.rig
has err "x.rig:2" "voltage"
printf '[kettle]\npower = 1800\n' >x.loads
run 5 plan --label "$demo/hut-pack.label" --loads x.loads
has err "x.loads:2:" "in W"
printf '[kettle]\nbehind inverter = yes\npower = 1.8 kW\n' >x.loads
run 5 plan --label "$demo/hut-pack.label" --loads x.loads
has err "x.loads:2" "[inverter]"
printf '0:00:00 12.9 V 24 A\n0:10:00 12.8 V 24 bananas\n' >x.readings
run 5 assess x.readings
has err "x.readings:2:"
printf '[plan]\nsample = x\n' >x.plan
run 5 assess "$log" --plan x.plan
has err "x.plan" "base power" "rundown plan --save"
