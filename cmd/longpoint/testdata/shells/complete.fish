# Prints what fish makes of each line that is given when Tab is pressed at its end: a name a line.
set -q INSTALLED; or longpoint completion fish | source
for line in $argv
	echo "== $line"
	complete -C $line | string replace -r '\t.*' ''
end
true # whether the last line had names or not
