# Sheets for tests of protections: with the numbers of the label, to print, and none for a short circuit.
. "$top/tests/cli/helpers"
run 0 guide
has out "cold-charge" "low-voltage" "A short circuit is not tested here"
set -- --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --loads "$demo/hut-pack.loads"
run 0 guide over-current "$@"
has out "INVENTED" "100 A" "the peak stays out of reach" "mark: current raised" "Local codes"
run 0 guide cold-charge
has out "cannot tell" "this rig reads none"
run 0 guide cold-charge "$@" --sheet cold.pdf --paper letter
[ "$(head -c 5 cold.pdf)" = "%PDF-" ] || fail "no PDF"
[ ! -s out ] || fail "a sheet is written, not printed"
one_page() { # TEST OPTION…
    run 0 guide "$@" --sheet one.pdf
    pdftotext -layout one.pdf words
    grep -q "page 1 of 1" words || fail "the sheet of $1 does not fit on a page"
    grep -q "☐" words || fail "the sheet of $1 has nothing to tick"
}
for test in charge cold-charge hot-charge over-current low-voltage high-voltage; do
    command -v pdftotext >/dev/null || break
    one_page $test
    one_page $test "$@"
done
run 2 guide short-circuit
has err "no test is called 'short-circuit'"
run 2 guide --sheet all.pdf
has err "for one test"
run 2 guide charge --paper a3
run 2 guide charge --sample x
has err "in which book"
run 3 guide charge "$@" --sheet nowhere/x.pdf
run 0 book new hut.book
run 0 sample add hut.book "Hut pack 14" --label "$demo/hut-pack.label" --loads "$demo/hut-pack.loads"
run 0 sample add hut.book "Hut pack 15"
run 0 guide charge hut.book --sample hut-pack-15
has out "Hut pack 15" "cannot tell"
run 0 guide over-current hut.book --sample hut-pack-14 --rig "$demo/hut-pack.rig" --json
mv out of_book
run 0 guide over-current "$@" --json
cmp out of_book || fail "papers of a book and files give different sheets"
