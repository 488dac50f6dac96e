#!/bin/bash
# Makes the sixty files of this folder anew with LibreOffice: one week's tables as shops in five countries keep them. Every cell is
# written once, with its kind, and LibreOffice shows and saves it with the settings of each country. All of it is invented.
# Needs soffice (Debian: libreoffice-calc). model/folder/spreadsheets_test.go reads what comes out.
set -euo pipefail
cd "$(dirname "$0")"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Cells: text, whole number with thousands apart, number with one or two decimals, day, formula with its value.
text() { printf '<table:table-cell office:value-type="string"><text:p>%s</text:p></table:table-cell>' "$1"; }
number() { printf '<table:table-cell table:style-name="%s" office:value-type="float" office:value="%s"/>' "$1" "$2"; }
whole() { number n0 "$1"; }
tenths() { number n1 "$1"; }
cents() { number n2 "$1"; }
day() { printf '<table:table-cell table:style-name="d" office:value-type="date" office:date-value="%s"/>' "$1"; }
fault() { printf '<table:table-cell table:style-name="n1" table:formula="of:=1/0"/>'; }
sum() { printf '<table:table-cell table:style-name="n1" table:formula="of:=%s" office:value-type="float" office:value="%s"/>' "$1" "$2"; }
none() { printf '<table:table-cell/>'; }
merged() { printf '<table:table-cell table:style-name="%s" table:number-rows-spanned="2" table:number-columns-spanned="1" office:value-type="%s" %s><text:p>%s</text:p></table:table-cell>' "$1" "$2" "$3" "$4"; }
covered() { printf '<table:covered-table-cell/>'; }
row() { printf '<table:table-row>%s</table:table-row>' "$*"; }
hidden() { printf '<table:table-row table:visibility="collapse">%s</table:table-row>' "$*"; }
sheet() { printf '<table:table table:name="%s">%s</table:table>' "$1" "$2"; }
heading() { local cells; cells=$(for name in "$@"; do text "$name"; done); row "$cells"; }

fods() { # file, sheets
	cat >"$work/$1.fods" <<END
<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"
 office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:styles><style:style style:name="Default" style:family="table-cell"/></office:styles>
<office:automatic-styles>
<number:number-style style:name="G0"><number:number number:decimal-places="0" number:min-integer-digits="1" number:grouping="true"/></number:number-style>
<number:number-style style:name="G1"><number:number number:decimal-places="1" number:min-integer-digits="1" number:grouping="true"/></number:number-style>
<number:number-style style:name="G2"><number:number number:decimal-places="2" number:min-integer-digits="1" number:grouping="true"/></number:number-style>
<number:date-style style:name="DD" number:automatic-order="true" number:format-source="language"><number:day/><number:text>.</number:text><number:month/><number:text>.</number:text><number:year number:style="long"/></number:date-style>
<style:style style:name="n0" style:family="table-cell" style:parent-style-name="Default" style:data-style-name="G0"/>
<style:style style:name="n1" style:family="table-cell" style:parent-style-name="Default" style:data-style-name="G1"/>
<style:style style:name="n2" style:family="table-cell" style:parent-style-name="Default" style:data-style-name="G2"/>
<style:style style:name="d" style:family="table-cell" style:parent-style-name="Default" style:data-style-name="DD"/>
</office:automatic-styles>
<office:body><office:spreadsheet>$2</office:spreadsheet></office:body>
</office:document>
END
}

jobs=$(heading job due customer frame profile quantity width height)
one=$(row "$(text J1)$(day 2027-03-12)$(text 'Müller, Söhne &amp; Co')$(text print)$(text oak-40)$(whole 2)$(tenths 300.5)$(tenths 1200)")
two=$(row "$(text J1)$(none)$(none)$(text 'two words')$(text oak-40)$(whole 1)$(tenths 130)$(tenths 180.5)")
three=$(row "$(text J2)$(day 2027-04-03)$(text 'Atelier «Nord»; Ost')$(text print)$(text black-22)$(whole 1000)$(tenths 1017.5)$(tenths 2000)")
fods jobs "$(sheet jobs "$jobs$one$two$three")"
# As people keep it: a title, a blank row, a sheet of notes before it, cells merged, numbers worked out.
fods kept "$(sheet notes "$(heading 'ring the museum' 'before noon')")$(sheet week "$(row "$(text 'Week 10, invented')")$(row "$(none)")$jobs$(
	row "$(text J1)$(merged d date 'office:date-value="2027-03-12"' '')$(merged n0 string '' 'Müller, Söhne &amp; Co')$(text print)$(text oak-40)$(whole 2)$(sum '150.25*2' 300.5)$(tenths 1200)")$(
	row "$(text J1)$(covered)$(covered)$(text 'two words')$(text oak-40)$(whole 1)$(tenths 130)$(sum '200-19.5' 180.5)")$three")"
fods hidden "$(sheet jobs "$jobs$one$two$(hidden "$(text J3)$(day 2027-04-03)$(text walk-in)$(text print)$(text oak-40)$(whole 1)$(tenths 300)$(tenths 400)")$three")"
fods faulty "$(sheet jobs "$jobs$one$two$(row "$(text J2)$(day 2027-04-03)$(text x)$(text print)$(text black-22)$(whole 1)$(fault)$(tenths 2000)")")"
# A job that was called 3-4, which a spreadsheet has made a day.
fods turned "$(sheet jobs "$jobs$(row "$(day 2027-04-03)$(day 2027-04-03)$(text x)$(text print)$(text black-22)$(whole 1)$(tenths 300)$(tenths 2000)")")"
fods offers "$(sheet offers "$(heading supplier profile stick_length price until)$(row "$(text 'Nord &amp; Süd')$(text oak-40)$(whole 3000)$(cents 1017.4)$(day 2027-12-03)")$(row "$(text 'Nord &amp; Süd')$(text black-22)$(whole 2400)$(cents 9.6)$(none)")")"
fods rack "$(sheet rack "$(heading stick profile length value lot)$(row "$(text R1)$(text oak-40)$(whole 2290)$(cents 3)$(text 'é 1')")$(row "$(text R2)$(text black-22)$(tenths 1005.5)$(cents 1234.5)$(none)")")"

save() { # country, format, ending, names of what is saved
	local country=$1 format=$2 ending=$3 name
	shift 3
	soffice -env:UserInstallation="file://$work/$country" --headless --convert-to "$format" --outdir "$work/out" "${@/%/.fods}" >/dev/null 2>&1
	for name in "$@"; do mv "$work/out/$(basename "$name").${format%%:*}" "$country/$(basename "$name")$ending"; done
}

csv() { printf 'csv:Text - txt - csv (StarCalc):%s,34,%s,1,,0,false,true,true' "$1" "$2"; } # separator, letters

for country in de-DE fr-FR de-CH en-GB en-US; do
	rm -rf "$country"
	mkdir -p "$country" "$work/$country/user"
	cat >"$work/$country/user/registrymodifications.xcu" <<END
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>$country</value></prop></item>
</oor:items>
END
	separator=59 # a semicolon, as spreadsheets save where the decimal mark is a comma, and in Switzerland
	case $country in en-*) separator=44 ;; esac
	save "$country" xlsx .xlsx "$work"/{jobs,kept,hidden,faulty,turned,offers,rack}
	save "$country" "$(csv $separator 76)" .csv "$work"/{jobs,offers,rack}
	save "$country" "$(csv $separator 1)" -1252.csv "$work/jobs"
	save "$country" "$(csv 9 65535)" .tsv "$work/jobs"
done

# Forms that are not read.
mkdir -p other "$work/other"
cp -r "$work/en-US/." "$work/other"
save other ods .ods "$work/jobs"
save other xls .xls "$work/jobs"
