# Prints what zsh makes of each line that is given when Tab is pressed at its end: a name a line. zsh itself picks those that fit.
compdef() { : }
_describe() { print -rl -- ${completions%%:[^:]*} }
_arguments() { : }
if [[ -n $INSTALLED ]]; then autoload -Uz _longpoint; else source <(longpoint completion zsh); fi
for line in "$@"; do
	words=(${(z)line})
	[[ $line == *' ' ]] && words+=("")
	CURRENT=${#words}
	print -r -- "== $line"
	_longpoint
done
