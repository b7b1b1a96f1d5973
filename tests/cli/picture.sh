# Pictures by command: kept as they came, shown without what the camera wrote, read for codes.
. "$top/tests/cli/helpers"
command -v qrencode >/dev/null || { echo "qrencode is not installed"; exit 77; }
need_python
qrencode -s 8 -o cell.png ZZZCB99ABCDEFGB3C0000123
qrencode -s 8 -o page.png "a page on hut packs"
python3 - <<'END'
import struct, zlib
png = open("cell.png", "rb").read()
words = b"tEXtComment\0at 46.5 north, Stonebell Hut"
head = 8 + 25 # signature and IHDR
open("marked.png", "wb").write(png[:head] + struct.pack(">I", len(words) - 4) + words
                               + struct.pack(">I", zlib.crc32(words)) + png[head:])
END
run 0 book new workshop.book
run 0 sample add workshop.book 'Hut pack 14' --invented
run 0 picture add workshop.book --sample 'Hut pack 14' marked.png page.png --item cells --caption 'The cells' --shown yes
has out marked.png page.png "QR: ZZZCB99ABCDEFGB3C0000123" "2021-03-12" "QR: a page on hut packs"
run 0 picture list workshop.book --sample 'hut pack 14'
has out "1  marked.png" cells shown "The cells"
run 0 picture list workshop.book --sample 'Hut pack 14' --json
python3 - out <<'END'
import json, sys
one, two = json.load(open(sys.argv[1]))["pictures"]
assert (one["picture"], one["name"], one["kind"], one["item"], one["shown"]) == (1, "marked.png", "image/png", "cells", True), one
assert one["width"] == one["height"] > 100 and two["picture"] == 2, (one, two)
END

run 0 picture change workshop.book 2 --shown no --caption ''
run 0 picture list workshop.book --sample 'Hut pack 14' --json
has out '"shown": false' '"caption": ""'
run 0 picture save workshop.book 1 shown.jpg --side 100
! grep -q Stonebell shown.jpg || fail "the place left with the copy"
head -c 2 shown.jpg | od -An -tx1 | grep -q 'ff d8' || fail "no JPEG"
run 0 picture save workshop.book 1 original.png --original
has err "where it was taken"
cmp marked.png original.png
run 0 cellcode --picture shown.jpg
has out "2021-03-12"
run 0 sample show workshop.book 'Hut pack 14'
has out Pictures marked.png

# The codes go to the cells, once, and leave what was typed.
printf '[opened]\n\n[cells]\ncount = 4 ; two rows\n' >typed.opened
run 0 sample correct workshop.book 'Hut pack 14' --opened typed.opened
run 0 opened workshop.book --sample 'Hut pack 14' --take-codes
has err "1 read off 2 pictures, 1 of them new"
has out ZZZCB99ABCDEFGB3C0000123
run 0 opened workshop.book --sample 'Hut pack 14' --take-codes
has err "1 read off 2 pictures, 0 of them new"
run 0 book export workshop.book out-of-book
grep -rqF '# read off picture 1, marked.png' out-of-book || fail "where the code was read off is not said"
grep -rqF 'count = 4 ; two rows' out-of-book || fail "what was typed is gone"
run 2 opened --take-codes typed.opened
has err "--sample"

run 2 picture remove workshop.book 2 </dev/null
run 0 picture remove workshop.book 2 --yes
run 0 picture list workshop.book --sample 'Hut pack 14'
hasnt out page.png

# What is wrong is said, and nothing of it comes into the book.
echo "no picture" >words.jpg
run 3 picture add workshop.book --sample 'Hut pack 14' page.png words.jpg
has err words.jpg "JPEG, PNG, WebP or HEIC"
run 0 picture list workshop.book --sample 'Hut pack 14'
hasnt out page.png
run 3 cellcode --picture page.png
has err "no code of a cell" "not of a cell"
run 2 picture add workshop.book page.png
has err "--sample"
run 2 picture save workshop.book 1
run 2 picture save workshop.book 1 small.jpg --side 5000
has err 4096
run 2 picture list workshop.book --sample 'Hut pack 14' --original
run 2 picture save workshop.book 9 small.jpg
