# Sheet, page and figures are written whole, or the message says why not and nothing is left behind.
. "$top/tests/cli/helpers"
set -- "$demo/hut-pack.log.csv" --label "$demo/hut-pack.label" --rig "$demo/hut-pack.rig" --quiet
run 0 assess "$@" --sheet a.pdf --page a.html --figure ladder.svg --figure ladder.png --figure curve.svg --figure my-curve.png
for file in a.pdf a.html ladder.svg ladder.png curve.svg my-curve.png; do
    [ -s "$file" ] || fail "$file is not there, or empty"
done
[ "$(head -c 5 a.pdf)" = %PDF- ] || fail "a.pdf is no PDF"
grep -qi '<!doctype html' a.html || fail "a.html is no page"
hasnt a.html "<script"
has ladder.svg "<svg" "Capacity"
run 0 assess "$@" --sheet letter.pdf --paper letter
! cmp -s a.pdf letter.pdf || fail "the paper makes no difference"
for option in sheet page figure; do
    run 3 assess "$@" "--$option" "nowhere/x.svg"
    has err "nowhere/x.svg" "cannot be written"
done
run 2 assess "$@" --figure x.jpeg
has err ".svg or .png"
run 2 assess "$demo/hut-pack.log.csv" --quiet --figure ladder2.svg
has err "no claims" "--label"
[ ! -e ladder2.svg ] || fail "an empty ladder was left behind"
