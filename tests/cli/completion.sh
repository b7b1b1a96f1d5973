# The completion offers what the program knows.
ln -s "$rundown" rundown
PATH=$PWD:$PATH bash -c '
    compopt() { :; }
    source "$top/completions/rundown.bash"
    complete_words() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _rundown; printf "%s\n" "${COMPREPLY[@]}"; }
    complete_words rundown as | grep -qx assess
    complete_words rundown assess --la | grep -qx -e --label
    complete_words rundown plan --lo | grep -qx -e --loads
    complete_words rundown guide ho | grep -qx hot-charge
    complete_words rundown instruments pr | grep -qx probe
    complete_words rundown book ba | grep -qx backup
    complete_words rundown sample cor | grep -qx correct
    complete_words rundown picture sa | grep -qx save
    complete_words rundown picture change workshop.book 1 --shown y | grep -qx yes
    complete_words rundown run show workshop.book --j | grep -qx -e --json
    complete_words rundown run correct workshop.book 1 --kind re | grep -qx rest
    complete_words rundown instruments probe --se | grep -qx -e --seconds
    complete_words rundown assess --paper le | grep -qx letter
    complete_words rundown assess --column = vo | grep -qx voltage=
    [ -z "$(complete_words rundown assess --nonsense)" ]
'
