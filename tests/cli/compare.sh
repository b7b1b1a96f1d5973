# Several samples side by side: table, JSON, figures; what was not alike is said.
. "$top/tests/cli/helpers"
run 0 book new workshop.book
run 0 sample add workshop.book "Hut pack 14" --label "$demo/hut-pack.label"
run 0 import workshop.book "$demo/hut-pack.log.csv" --sample "Hut pack 14" --rig "$demo/hut-pack.rig" --quiet
run 0 sample add workshop.book "Bivouac pack" --label "$demo/bivouac-pack.label"
run 0 import workshop.book "$demo/bivouac-pack.readings" --sample "Bivouac pack" --quiet
run 0 compare workshop.book --sample hut-pack-14 --sample "bivouac pack" --figure curves.svg --figure mass.png
has out "Hut pack 14 (invented)" "11.240 ± 0.028 kg" "read by eye; no rig" "Not discharged alike"
grep -q "<svg" curves.svg || fail "no figure"
head -c 4 mass.png | grep -q PNG || fail "no picture"
run 0 compare workshop.book --sample hut-pack-14 --sample "bivouac pack" --json
has out '"name": "Hut pack 14"' '"conditions":' '"rate_it":'
run 2 compare workshop.book --sample hut-pack-14
has err "fewer than two samples"
run 2 compare workshop.book --sample hut-pack-14 --sample "Hut Pack 14"
has err "Hut pack 14 is named twice"
run 2 compare workshop.book --sample hut-pack-14 --sample nobody
has err "there is no sample 'nobody'"
run 2 compare workshop.book --sample hut-pack-14 --sample bivouac-pack --figure price.pdf
has err ".svg or .png"

# Two that were opened: what agrees and what differs, and no verdict on where they come from.
printf '[board]\nrating = 80 A\nprinted = HX-4S-80\n[cells]\ncount = 4\nform = prismatic\n' >one.opened
printf '[board]\nrating = 60 A\nprinted = HX-4S-80\n[cells]\ncount = 4\n' >other.opened
run 0 sample correct workshop.book hut-pack-14 --opened one.opened
run 0 compare workshop.book --sample hut-pack-14 --sample bivouac-pack
hasnt out "Opened,"
run 0 sample correct workshop.book bivouac-pack --opened other.opened
run 0 compare workshop.book --sample hut-pack-14 --sample bivouac-pack
has out "differ" "HX-4S-80" "60 A" "No verdict on where they come from"
run 0 compare workshop.book --sample hut-pack-14 --sample bivouac-pack --json
has out '"alike": "agrees"' '"alike": "differs"' '"alike": "seen in one only"'
