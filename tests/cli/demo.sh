# The main job on the demo: the table, the JSON form, the sheet and the page agree and are whole.
for pack in hut-pack.log.csv hut-pack.readings bivouac-pack.readings; do
    label=${pack%%.*}.label
    "$rundown" assess "$demo/$pack" --label "$demo/$label" --json >out.json 2>err
    "$rundown" assess "$demo/$pack" --label "$demo/$label" --sheet out.pdf --page out.html >out.txt 2>err
    python3 - "$top/demo/$label" <<'END'
import json, re
form = json.load(open("out.json"))
table, page = open("out.txt").read(), open("out.html").read()
words = {"met", "not met", "too close to call", "not exercised", "not tested"}
assert form["claims"], "no claims"
for claim in form["claims"]:
    assert claim["verdict"] in words, claim
    assert claim["verdict"] in table and claim["verdict"] in page, claim
for key in ("discharge_ah", "discharge_wh"):
    assert form["totals"][key]["value"] > 0 and form["totals"][key]["standard_uncertainty"] > 0, key
assert any(run["kind"] == "discharge" for run in form["runs"])
assert "invented" in table.lower() and "invented" in page.lower(), "invented data are not called so"
assert not re.search(r'(src|href)="(https?:)?//', page) and "<script" not in page, "the page is not self-contained"
END
    head -c 5 out.pdf | grep -q '%PDF-'
    if command -v pdfinfo >/dev/null; then
        [ "$(pdfinfo out.pdf | sed -n 's/^Pages: *//p')" -le 3 ]
        pdftotext out.pdf - | grep -qi 'invented'
    fi
done
