# Completion of rundown(1) for bash. Commands and options come from the program itself.

_rundown()
{
    local program=${COMP_WORDS[0]} word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} choice=
    COMPREPLY=()
    if ((COMP_CWORD == 1)); then
        mapfile -t COMPREPLY < <(compgen -W "$("$program" help --words 2>/dev/null) --help --version" -- "$word")
        return
    fi
    [[ $word == = ]] && word=
    [[ $before == = ]] && before=${COMP_WORDS[COMP_CWORD - 2]}
    case $before in
    --column) choice='time= date= voltage= current= power= temperature= ambient= charge= energy= mode= step= mark=' ;;
    --current) choice='discharge-positive charge-positive' ;;
    --load) choice='constant-power constant-current resistance' ;;
    --paper) choice='a4 letter' ;;
    --decimal) choice='point comma' ;;
    --leave-out) choice='budgets conditions notices cautions recompute' ;;
    --shown) choice='yes no' ;;
    --colour) choice='auto always never' ;;
    --kind) choice='discharge charge rest protection whole' ;;
    esac
    if [[ -n $choice ]]; then
        [[ $choice == *= ]] && compopt -o nospace
        mapfile -t COMPREPLY < <(compgen -W "$choice" -- "$word")
    elif [[ $word == -* ]]; then
        mapfile -t COMPREPLY < <(compgen -W "$("$program" help --words "${COMP_WORDS[1]}" 2>/dev/null | tr -d =) --help" -- "$word")
    elif [[ ${COMP_WORDS[1]} == guide && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'charge cold-charge hot-charge over-current low-voltage high-voltage' -- "$word")
    elif [[ ${COMP_WORDS[1]} == instruments && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'probe list' -- "$word")
    elif [[ ${COMP_WORDS[1]} == book && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'new check backup export import' -- "$word")
    elif [[ ${COMP_WORDS[1]} == sample && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'add list show correct remove' -- "$word")
    elif [[ ${COMP_WORDS[1]} == picture && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'add list change remove save' -- "$word")
    elif [[ ${COMP_WORDS[1]} == run && COMP_CWORD -eq 2 ]]; then
        mapfile -t COMPREPLY < <(compgen -W 'list show correct remove' -- "$word")
    elif [[ ${COMP_WORDS[1]} == help ]]; then
        mapfile -t COMPREPLY < <(compgen -W "$("$program" help --words 2>/dev/null)" -- "$word")
    else
        compopt -o filenames
        mapfile -t COMPREPLY < <(compgen -f -- "$word")
    fi
}
complete -F _rundown rundown
