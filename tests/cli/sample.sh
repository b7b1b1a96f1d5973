# Samples and runs are added, listed, shown, corrected with the old value kept, and removed after a question.
. "$top/tests/cli/helpers"
run 0 book new workshop.book
run 0 sample list workshop.book
has err "no samples yet"
run 0 sample add workshop.book "Hut pack 14" --label "$demo/hut-pack.label"
has out "Hut pack 14 (invented)" "capacity = 100 Ah at 0.2 It, 25 °C, to 10 V | case"
printf 'arrived with a dent\n' >note.txt
run 0 sample add workshop.book "Bivouac pack" --note note.txt
has out "arrived with a dent"
run 2 sample add workshop.book hut_pack-14
has err "there is a sample of the name 'hut_pack-14' already"

# What was seen in it once it was opened, and the tester's own words: kept as typed, and assessed with.
printf '[opened]\n\n[conductor main lead]\nsize = 10 AWG, copper\n' >seen.opened
printf 'A sound pack.\n' >own.txt
run 0 sample correct workshop.book hut-pack-14 --opened seen.opened --summary own.txt
has out "opened, of " "    size = 10 AWG, copper" "summary, of " "    A sound pack."
run 0 assess workshop.book --sample hut-pack-14 --json
has out '"slug": "conductor-main-lead"'
printf '[opened]\n[conductor]\nsizes = many\n' >bad.opened
run 5 sample correct workshop.book hut-pack-14 --opened bad.opened
has err "bad.opened:3"

# What is malformed is not kept, and the sample is not added either.
printf '[claims]\ncapacity = plenty\n' >bad.label
run 5 sample add workshop.book "Third pack" --label bad.label
has err "bad.label:2"
run 2 sample show workshop.book "Third pack"
has err "there is no sample 'Third pack'"

run 0 sample correct workshop.book HUT-PACK-14 --name "Hut pack 014" --label "$demo/bivouac-pack.label"
has out "Hut pack 014 (invented)" "version 2" "name: 'Hut pack 14' became 'Hut pack 014'"
run 0 sample list workshop.book
[ "$(wc -l <out)" -eq 2 ] || fail "not two samples"
run 0 sample show workshop.book hut-pack-014 --json
if command -v python3 >/dev/null; then
    python3 - "$demo" <<'PYTHON'
import json, sys
sample = json.load(open("out"))
assert sample["name"] == "Hut pack 014" and sample["invented"] is True and sample["runs"] == [], sample
texts = [document["text"] for document in sample["documents"]]
papers = [sys.argv[1] + "/hut-pack.label", sys.argv[1] + "/bivouac-pack.label", "seen.opened", "own.txt"]
assert sorted(texts) == sorted(open(name).read() for name in papers), texts
assert sample["corrections"][0]["before"] == "Hut pack 14", sample
PYTHON
fi
run 2 sample correct workshop.book hut-pack-014
has err "what is to be corrected?"
run 0 sample list workshop.book
has out "not assessed"
has err "2 of 2 not assessed as they are now"
run 0 sample list workshop.book --assess
has out "claimed 12.8 V · 50 Ah · 640 Wh" "5 not tested" "no claims; no readings"
run 0 sample list workshop.book --json
has out '"fresh":true' '"thin":"no readings"'
hasnt out '"fresh":false'
run 2 sample show workshop.book hut-pack-014 --assess
has err "sample show has no use for --assess"
run 2 sample list workshop.book --name other
has err "sample list has no use for --name"
run 2 sample show workshop.book hut pack 014
has err "A name with blanks needs quotes"

# A sample without readings is assessed from its label alone; one without either is not.
run 0 sample add workshop.book "Labelled pack" --label "$demo/bivouac-pack.label"
run 0 assess workshop.book --sample labelled-pack --json
has out '"logs": []' "There are no readings yet." '"verdict": "not tested"'
run 0 sample add workshop.book "Bare pack"
run 3 assess workshop.book --sample "bare pack"
has err "neither readings nor a label"
run 0 sample remove workshop.book "bare pack" --yes
run 0 sample remove workshop.book "labelled pack" --yes

run 0 run list workshop.book
has err "no runs yet"
run 2 run show workshop.book 1
has err "there is no run 1"
run 2 run correct workshop.book first --kind charge
has err "a run is named by its number, not 'first'"

run 2 sample remove workshop.book bivouac-pack
has err "this removes Bivouac pack with 0 runs for good" "--yes"
run 0 sample show workshop.book bivouac-pack
run 0 sample remove workshop.book bivouac-pack --yes
run 2 sample show workshop.book bivouac-pack
run 0 book check workshop.book
