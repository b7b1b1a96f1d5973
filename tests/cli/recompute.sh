# What a page says of how to recompute it, typed into a shell beside the same files, makes the same page.
recompute() { # PAGE: its command, as a shell reads it
    sed -n 's/.*\(rundown assess [^<]*\)<.*/\1/p' "$1" | head -n 1 | sed "s/&#39;/'/g; s/&quot;/\"/g; s/&lt;/</g; s/&gt;/>/g; s/&amp;/\&/g"
}
again() { # PAGE
    eval "$(recompute "$1") --quiet --page again.html" >/dev/null
    cmp "$1" again.html
}

ln -s "$rundown" rundown
PATH=$PWD:$PATH
mkdir folder
cp "$demo/hut-pack.log.csv" "folder/hut's log.csv"
cp "$demo/hut-pack.label" "$demo/hut-pack.rig" "$demo/hut-pack.opened" "$demo/hut-pack.loads" .
"$rundown" plan --label hut-pack.label --rig hut-pack.rig --loads hut-pack.loads --save hut.plan >/dev/null
"$rundown" assess "folder/hut's log.csv" --label hut-pack.label --rig hut-pack.rig --opened hut-pack.opened --plan hut.plan \
    --column temperature=5 --current discharge-positive --load constant-power --cut-off 11.3 --decide 0.9 --quiet \
    --page logs.html >/dev/null
mv "folder/hut's log.csv" .
again logs.html
grep -q 'planned' logs.html

"$demo/full-case" "$rundown" case >/dev/null 2>&1
cd case || exit
"$rundown" assess workshop.book --sample 'Sample 014' --quiet --page sample.html >/dev/null
again sample.html
