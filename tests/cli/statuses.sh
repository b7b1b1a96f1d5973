# Each exit status that the manual page promises, and a message that names the remedy.
status() { # WANTED WORD ARGUMENT…: the exit status, and a word that the message must hold
    wanted=$1 word=$2 got=0
    shift 2
    "$rundown" "$@" >out 2>err || got=$?
    if [ "$got" -ne "$wanted" ] || ! grep -qF -e "$word" err; then
        echo "rundown $*: status $got, not $wanted, or no '$word' in:"
        cat err
        return 1
    fi
}
status 2 'no command' asses
status 2 'assess' asses
status 2 '--help' assess
status 2 '--label' assess --lable x
status 2 'needs a value' assess --label
status 2 '0.5' assess "$demo/hut-pack.log.csv" --decide 3
status 3 'absent.csv' assess absent.csv
: >empty.csv
status 3 'empty.csv' assess empty.csv
status 3 'nowhere/out.pdf' assess "$demo/hut-pack.log.csv" --sheet nowhere/out.pdf
printf 'a,b,c\n1,2,3\n2,3,4\n3,4,5\n' >plain.csv
status 4 '--column' assess plain.csv
printf '[claims]\ncapacity = 100 V | case\n' >bad.label
status 5 'bad.label:2' assess "$demo/hut-pack.log.csv" --label bad.label
printf '[rig]\nvoltage = rather good\n' >bad.rig
status 5 'bad.rig:2' assess "$demo/hut-pack.log.csv" --rig bad.rig
printf '0:00:00 12.9 V 24 A\n0:10:00 12.8 24 A\n' >bad.readings
status 5 'bad.readings:2' assess bad.readings
status 5 'bad.label:2' plan --label bad.label
# A claim that fails is an answer, not a failure.
printf '[claims]\ncapacity = 900 Ah to 10 V | case\n' >high.label
"$rundown" assess "$demo/hut-pack.log.csv" --label high.label --rig "$demo/hut-pack.rig" >out 2>err
grep -q 'not met' out
