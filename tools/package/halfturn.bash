# Completion for bash: commands and options are asked of the program itself, so they are always the right ones.
_halfturn() {
    local program=${COMP_WORDS[0]} word=${COMP_WORDS[COMP_CWORD]} path=() help choices item
    for item in "${COMP_WORDS[@]:1:COMP_CWORD-1}"; do
        [[ $item =~ ^[a-z][a-z0-9-]*$ ]] || break
        "$program" "${path[@]}" "$item" --help >/dev/null 2>&1 || break
        path+=("$item")
    done
    help=$("$program" "${path[@]}" --help 2>/dev/null)
    if [[ $word == -* ]]; then
        choices=$(grep -oE -- '--[a-z][A-Za-z0-9-]*' <<<"$help")
    else
        choices=$(sed -n '/^Subcommands:/,/^$/s/^  \([a-z][a-z0-9-]*\).*/\1/p' <<<"$help")
        case ${path[0]}:${COMP_WORDS[COMP_CWORD-1]} in
            example:*) choices=$("$program" example 2>/dev/null | sed 's/ .*//') ;;
            *:--practice) choices=$("${program%halfturn}halfturn-practice" list 2>/dev/null | sed 's/ .*//') ;;
        esac
    fi
    mapfile -t COMPREPLY < <(compgen -W "$choices" -- "$word")
    # Anything else is the name of a file.
    [[ ${#COMPREPLY[@]} -gt 0 ]] || mapfile -t COMPREPLY < <(compgen -f -- "$word")
}
complete -o filenames -F _halfturn halfturn
