# A book is made, checked and copied; what is no book is refused and left as it is.
. "$top/tests/cli/helpers"
run 0 book new workshop.book
has out "made workshop.book"
run 3 book new workshop.book
has err "workshop.book: there is a file of that name already" "a book never replaces a file"
run 0 book check workshop.book
has out "sound: every page, every reading and every summary"
run 0 sample add workshop.book "Hut pack 14" --label "$demo/hut-pack.label"
run 0 book backup workshop.book copy.book
has out "copied to copy.book"
run 3 book backup workshop.book copy.book
has err "copy.book: there is a file of that name already"
run 0 sample list copy.book
has out "Hut pack 14" "0 runs" "invented"
run 0 book check copy.book --json
has out '"sound": true'

# A page of the copy is overwritten.
dd if=/dev/zero of=copy.book bs=4096 seek=2 count=1 conv=notrunc 2>/dev/null
run 3 book check copy.book --json
has out '"sound": false'
has err "found" "o back to the latest backup"
truncate -s 9000 copy.book
run 3 sample list copy.book
has err "copy.book: the book is cut short: 9000 bytes of"
cp "$demo/hut-pack.log.csv" log.csv
run 3 sample add log.csv "Hut pack 14"
has err "log.csv: this is no book"
cmp log.csv "$demo/hut-pack.log.csv"
run 3 run list nowhere.book
has err "nowhere.book: there is no such file" "rundown book new"
run 2 book
has err "what is book to do?" "One of: new, check, backup, export, import"
run 2 book bakup workshop.book
has err "Did you mean 'backup'?"
run 2 book backup workshop.book
has err "book backup needs COPY"
run 2 book check workshop.book more
has err "takes no further word 'more'"
