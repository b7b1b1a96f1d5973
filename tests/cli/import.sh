# Logs go into a book, come out of it as they were, and the book goes out and in again.
. "$top/tests/cli/helpers"
run 0 book new workshop.book
run 0 import workshop.book "$demo/hut-pack.log.csv" --sample "Hut pack 14" --kind discharge --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig"
has out "run 1: " " readings of " "hut-pack.log.csv"
run 0 import workshop.book "$demo/hut-pack.readings" --sample hut-pack-14 --json
has out '"run": 2' '"sample": "hut-pack-14"'
run 0 book check workshop.book

# The same findings, claims, columns and warnings, but for the path.
run 0 assess workshop.book:1 --json --quiet
sed '/"path":/d' out >of_book
run 0 assess "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --json --quiet
sed '/"path":/d' out >of_file
diff -u of_file of_book
run 0 assess workshop.book:2 --json --quiet
has out '"logs"'
run 0 assess workshop.book --sample "hut pack 14" --quiet --keep
has out "workshop.book:1" "workshop.book:2"

# Out as open formats, in again, and out once more.
run 0 book export workshop.book out1
has out "exported to out1"
head -n 1 out1/readings/1.csv | grep -q '^time (s),voltage (V),current (A)'
run 0 book import out1 again.book
run 0 book check again.book
run 0 book export again.book out2 --json
has out '"readings": '
diff -r out1 out2
run 3 book export again.book out2
has err "out2: is there already and is not replaced"
run 3 book import out1 again.book
has err "again.book: there is a file of that name already"
# An export of an older form is taken, one of a newer is not.
cp -r out1 older
sed -i 's/"form": 3/"form": 2/' older/book.json
cat > older/teardown.json <<'END'
[
{"id":1,"sample":1,"topic":"bus bar","value":"20 mm x 2 mm","opinion":"ample","utc_ns":1790000000000000000}
]
END
run 0 book import older older.book
run 0 book check older.book
run 0 sample show older.book "hut pack 14"
has out "bus bar: 20 mm x 2 mm; ample"
sed -i 's/"form": 2/"form": 4/' older/book.json
run 5 book import older newer.book
has err "this is an export of form 4, and this program takes forms up to 3"
run 3 book import nowhere third.book
has err "nowhere/book.json: cannot be read"
[ ! -e third.book ]

# What cannot be read is not put in.
echo "not a log" >odd.csv
run 3 import workshop.book odd.csv --sample x
has err "odd.csv"
run 2 import workshop.book
has err "no log given"
run 2 import workshop.book odd.csv
has err "No --sample given"
run 2 import workshop.book odd.csv --sample x --kind burn
has err "--kind does not know 'burn'" "discharge, charge, rest, protection, whole"
run 5 import workshop.book "$demo/hut-pack.log.csv" --sample x --label "$demo/hut-pack.log.csv"
run 3 import nowhere.book "$demo/hut-pack.log.csv" --sample x
has err "there is no such file"
run 2 assess workshop.book:1 --column time=1
has err "the columns of a run are settled"
run 2 assess workshop.book --sample nobody
has err "there is no sample 'nobody'"
run 0 sample list workshop.book
