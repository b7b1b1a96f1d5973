# Completion of rundown(1) for bash.

_rundown()
{
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
    local assess='--label --rig --column --period --current --load --cut-off --decide --explain --json
        --sheet --paper --page --figure --reply --help'
    local plan='--label --rig --loads --help'

    COMPREPLY=()
    if ((COMP_CWORD == 1)); then
        mapfile -t COMPREPLY < <(compgen -W 'assess plan --help --version' -- "$word")
        return
    fi
    case $before in
    --column) mapfile -t COMPREPLY < <(compgen -W 'time= date= voltage= current= power= temperature= ambient=
        charge= energy= mode= mark= step=' -- "$word"); compopt -o nospace; return ;;
    --current) mapfile -t COMPREPLY < <(compgen -W 'discharge charge' -- "$word"); return ;;
    --load) mapfile -t COMPREPLY < <(compgen -W 'power current resistance' -- "$word"); return ;;
    --paper) mapfile -t COMPREPLY < <(compgen -W 'a4 letter' -- "$word"); return ;;
    --period | --cut-off | --decide | --explain | --reply) return ;;
    esac
    if [[ $word == -* ]]; then
        case ${COMP_WORDS[1]} in
        assess) mapfile -t COMPREPLY < <(compgen -W "$assess" -- "$word") ;;
        plan) mapfile -t COMPREPLY < <(compgen -W "$plan" -- "$word") ;;
        esac
    else
        compopt -o filenames
        mapfile -t COMPREPLY < <(compgen -f -- "$word")
    fi
}
complete -F _rundown rundown
