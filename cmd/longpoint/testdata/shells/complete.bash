# Prints what bash makes of each line that is given when Tab is pressed at its end: a name a line, as it would be typed.
# With INSTALLED it loads what a package has installed, as the shell does by itself.
. /usr/share/bash-completion/bash_completion
if [ -n "${INSTALLED:-}" ]; then _completion_loader longpoint; else . <(longpoint completion bash); fi
compopt() { :; } # works only while a key is pressed
for COMP_LINE in "$@"; do
	COMP_POINT=${#COMP_LINE} COMP_TYPE=9 COMP_KEY=9
	eval "COMP_WORDS=($COMP_LINE)"
	[[ $COMP_LINE == *" " ]] && COMP_WORDS+=("")
	COMP_CWORD=$((${#COMP_WORDS[@]} - 1)) COMPREPLY=()
	"$(complete -p longpoint | sed 's/.* -F \([^ ]*\).*/\1/')" longpoint "${COMP_WORDS[COMP_CWORD]}" "${COMP_WORDS[COMP_CWORD - 1]}"
	echo "== $COMP_LINE"
	printf '%s\n' "${COMPREPLY[@]}" | sed 's/  *(.*)$//'
done
