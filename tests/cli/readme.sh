# What the README tells a newcomer to type works as it stands there.
block() { # WORD: the fenced block that holds it
    awk -v word="$1" '/^ *```/ { if (open && index(text, word)) printf "%s", text; open = !open; text = ""; next }
        open { sub(/^   /, ""); text = text $0 "\n" }' "$top/README.md"
}
block '[claims]' >my.label
block '[rig]' >my.rig
block 'inverter on' >my.readings
[ -s my.label ] && [ -s my.rig ] && [ -s my.readings ]
"$rundown" assess "$demo/hut-pack.log.csv" --label my.label --rig my.rig --sheet my.pdf --page my.html >out 2>err
"$rundown" assess my.readings --label my.label >out 2>err
"$rundown" assess my.readings --label my.label --explain capacity >out 2>err
"$rundown" assess my.readings --label my.label --reply capacity >out 2>err
"$rundown" plan --label my.label --rig my.rig >out 2>err
