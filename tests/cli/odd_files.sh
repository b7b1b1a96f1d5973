# What is no log is refused in a sentence; nothing crashes and nothing is made up.
. "$top/tests/cli/helpers"
: >empty.csv
run 3 assess empty.csv
has err "empty.csv" "empty"
printf 'time,voltage,current\n' >header.csv
run 3 assess header.csv
has err "header.csv"
run 3 assess .
has err "directory"
run 3 assess absent.csv
has err "absent.csv" "No such file"
head -c 4096 "$rundown" >program.csv
run 3 assess program.csv
has err "program.csv" "not text"
printf 'time(s),voltage(V)\n0,13.1\n10,13.2\n20,13.1\n30,13.0\n' >volts.csv
run 3 assess volts.csv
has err "volts.csv" "neither amps nor watts"
printf 'time(s),power(W)\n0,0\n10,60\n20,61\n30,60\n' >watts.csv
got=0
"$rundown" assess watts.csv >out 2>err || got=$?
[ "$got" -eq 3 ] || [ "$got" -eq 4 ] || fail "power alone: status $got"
has err "watts.csv"
printf 'no readings here, only words\nand more of them\n' >words.csv
run 3 assess words.csv
for file in empty.csv header.csv program.csv words.csv .; do
    for option in label rig plan; do
        got=0
        "$rundown" assess "$demo/hut-pack.log.csv" --quiet "--$option" "$file" >out 2>err || got=$?
        [ "$got" -eq 3 ] || [ "$got" -eq 5 ] || { [ "$got" -eq 0 ] && [ "$option$file" = rigempty.csv ]; } ||
            fail "--$option $file: status $got"
    done
    got=0
    "$rundown" plan --label "$demo/hut-pack.label" --loads "$file" >out 2>err || got=$?
    [ "$got" -eq 3 ] || [ "$got" -eq 5 ] || fail "--loads $file: status $got"
done
head -c 1100000 /dev/zero | tr '\0' '#' >large.label
run 6 plan --label large.label
has err "large.label" "larger than"
