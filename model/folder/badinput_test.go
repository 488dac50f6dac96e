package folder

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/table"
)

// badInputs spoil the small workshop in one file each; want is every error, without the folder's name.
var badInputs = []struct {
	name     string
	file     string
	old, new string
	want     []string
}{
	{"unknown column", profilesFile, "keep", "keep,colour", []string{
		`profiles.csv:1, column colour: there is no column “colour”; the columns of this table are profile, title, width, rebate, finish, head_trim, tail_trim, keep, metre_price, offcut_share, match, repeat, set_up; say in workshop.toml which of them it is, below [headings.profiles], in a line like profile = "colour", or none = "colour" where it is none`,
	}},
	{"misspelt column", jobsFile, "height", "hieght", []string{
		`jobs.csv:1, column hieght: there is no column “hieght”; did you mean height?`,
	}},
	{"misspelt required column", profilesFile, "width", "witdh", []string{
		`profiles.csv:1, column witdh: there is no column “witdh”; did you mean width?`,
	}},
	{"unknown column whose cells others would miss", jobsFile, "height", "hoehe", []string{
		`jobs.csv:1, column hoehe: there is no column “hoehe”; the columns of this table are job, due, customer, match, frame, ring, profile, quantity, sides, given_by, width, height, across, allowance, note; say in workshop.toml which of them it is, below [headings.jobs], in a line like job = "hoehe", or none = "hoehe" where it is none`,
	}},
	{"missing column", offersFile, "price", "", []string{
		`offers.csv:1, column price: the column is missing; add it to the heading`,
	}},
	{"column twice", rackFile, "value", "Profile", []string{
		`rack.csv:1, column Profile: the column stands in the heading twice; take one away`,
	}},
	{"no heading", rackFile, small[rackFile], "\n# nothing\n,,,\n", []string{
		`rack.csv: the table has no heading; give it a first line with the names of the columns: stick, profile, length, quantity, place, value, offcut, lot, damaged, order, supplier, expected`,
	}},
	{"empty file", rackFile, small[rackFile], "", []string{
		`rack.csv: the table has no heading; give it a first line with the names of the columns: stick, profile, length, quantity, place, value, offcut, lot, damaged, order, supplier, expected`,
	}},
	{"cell under no heading", rackFile, ",yes", ",yes,,what", []string{
		`rack.csv:2: the row has 7 cells, the heading 5; put quotation marks round a cell that holds a comma, or give the cell a heading`,
	}},
	{"a supplier of a stick that is here", rackFile, small[rackFile], "stick,profile,length,supplier,expected\nR1,oak,2000,Invented Timber,2027-01-04\n", []string{
		`rack.csv:2, column supplier: only a stick that is on the way has this; give its order too, or leave this blank`,
		`rack.csv:2, column expected: only a stick that is on the way has this; give its order too, or leave this blank`,
	}},
	{"a least charge without a price by length", offersFile, small[offersFile], "supplier,profile,stick_length,price,least_charge\nNorth,oak,3000,17.40,3\nNorth,ash,10 ft,20,\n", []string{
		`offers.csv:2, column least_charge: only a price by length has this; say in per what the price is of, such as m or ft, or leave this blank`,
	}},
	{"a price of nobody knows what", offersFile, small[offersFile], "supplier,profile,stick_length,price,per\nNorth,oak,3000,5.80,ell\nNorth,ash,10 ft,20,12\n", []string{
		`offers.csv:2, column per: “ell” is no length that a price is of; write m, ft, or a length with its unit such as 100 ft`,
		`offers.csv:3, column per: “12” is no length that a price is of; write m, ft, or a length with its unit such as 100 ft`,
	}},
	{"random lengths by the metre", offersFile, small[offersFile], "supplier,profile,stick_length,longest,price,per\nNorth,oak,3000,3300,5.80,m\nNorth,ash,10 ft,,20,\n", []string{
		`offers.csv:2, column per: sticks of random lengths have no price by length here, as nobody knows what one will cost; write the price of a bundle, or a row for each length`,
	}},
	{"an order on two days", rackFile, small[rackFile], "stick,profile,length,order,supplier,expected\nR1,oak,2000,4711,Invented Timber,2027-01-04\nR2,oak,2000,4711,Invented Timber,\n", []string{
		`rack.csv:3, column order: order 4711 has another supplier or day in line 2; give an order one supplier and one day, or call one of the two otherwise`,
	}},
	{"a place of a stick that is on the way", rackFile, small[rackFile], "stick,profile,length,place,order\nR1,oak,2000,left,4711\n", []string{
		`rack.csv:2, column place: a stick that is on the way has this not yet; leave it blank, or leave the order blank if the stick is here`,
		`rack.csv:2, column supplier: nothing is given here; fill it in`,
	}},
	{"decimal comma not in quotes", offersFile, "17.40", "17,40", []string{
		`offers.csv:2: the row has 5 cells, the heading 4; put quotation marks round a cell that holds a comma, or give the cell a heading`,
	}},
	{"quotation mark never closed", rackFile, "R1", `"R1`, []string{
		`rack.csv:2: a cell starts here with a quotation mark and does not end with one; a cell that starts with a quotation mark ends with one; write a mark inside it twice`,
	}},
	{"text behind a quotation mark", rackFile, "R1", `"R1"x`, []string{
		`rack.csv:2: a cell starts here with a quotation mark and does not end with one; a cell that starts with a quotation mark ends with one; write a mark inside it twice`,
	}},

	{"bad number", jobsFile, "300", "3oo", []string{
		`jobs.csv:2, column width: “3oo” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
	}},
	{"bad unit", jobsFile, "8 in", "8 ells", []string{
		`jobs.csv:5, column width: “8 ells” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
	}},
	{"two readings", jobsFile, "300", `"1,300"`, []string{
		`jobs.csv:2, column width: “1,300” can be read in two ways, as 1.3 and as 1300; write 1.3 or 1300, or, if the first is what you mean by such, set decimal = "comma" under [tables] in workshop.toml, of a book by "longpoint settings --set tables.decimal=comma"`,
	}},
	{"zero size", jobsFile, "300", "0", []string{
		`jobs.csv:2, column width: “0” is not more than zero; give the length it really has`,
	}},
	{"negative size", jobsFile, "300", "-300", []string{
		`jobs.csv:2, column width: “-300” has a sign; write lengths without one`,
	}},
	{"blank size", jobsFile, "300", "", []string{
		`jobs.csv:2, column width: nothing is given here; fill it in`,
	}},
	{"absurd length", jobsFile, "300", "99999999999999999999", []string{
		`jobs.csv:2, column width: “99999999999999999999” is longer than 1 km; check the number and its unit`,
	}},
	{"absurd length in metres", rackFile, "1200", "1200 m", []string{
		`rack.csv:2, column length: “1200 m” is longer than 1 km; check the number and its unit`,
	}},
	{"finer than a nanometre", jobsFile, "300", "300.0000001", []string{
		`jobs.csv:2, column width: “300.0000001” is not a whole number of nanometres, and lengths are never rounded; write it in mm, or in fractions of an inch down to 1/64"`,
	}},
	{"negative allowance", settingsFile, "allowance = 3", "allowance = -3", []string{
		`workshop.toml:11, setting defaults.allowance: “-3” has a sign; write lengths without one`,
	}},
	{"rebate as wide as the profile", profilesFile, "32,7", "32,32", []string{
		`profiles.csv:2, column rebate: profile oak has a rebate of 32 mm, not less than its width of 32 mm; check both: the rebate is the lip over the picture, the width goes from back edge to sight edge`,
	}},
	{"rebate unreadable", profilesFile, "32,7", "32,seven", []string{
		`profiles.csv:2, column rebate: “seven” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
	}},
	{"width unreadable", profilesFile, "32,7", "wide,7", []string{
		`profiles.csv:2, column width: “wide” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
	}},
	{"no keep", profilesFile, "7,300", "7,", []string{
		`profiles.csv:2, column keep: nothing says from what length on an offcut is kept; fill it in, or set defaults.keep in workshop.toml`,
	}},
	{"profile twice", profilesFile, "\nash", "\noak,40,9,300\nash", []string{
		`profiles.csv:3, column profile: profile “oak” is there twice, first in line 2; give each profile a name of its own`,
	}},
	{"unknown profile on the rack", rackFile, "oak", "elm", []string{
		`rack.csv:2, column profile: there is no profile “elm”; take in the profiles first, with this one among them, or correct the name`,
	}},
	{"unknown profile in a job", jobsFile, "1,,B,1,oak", "1,,B,1,elm", []string{
		`jobs.csv:3, column profile: job 1, frame B: there is no profile “elm”; take in the profiles first, with this one among them, or correct the name`,
	}},
	{"profile with neither rack nor offer", offersFile, "North,ash,10 ft,20\n", "", []string{
		`jobs.csv:4, column profile: job 1, frame B: profile ash is neither on the rack nor on offer; add a stick to the rack or an offer to the offers, as "longpoint help tables" shows`,
	}},
	{"stick twice", rackFile, "R1,oak,1200,,yes\n", "R1,oak,1200,,yes\nR1,oak,900,,\n", []string{
		`rack.csv:3, column stick: stick “R1” is there twice, first in line 2; give each stick a name of its own`,
	}},
	{"price that is none", offersFile, "17.40", "a lot", []string{
		`offers.csv:2, column price: “a lot” is not an amount of money; write it like 12.40`,
	}},
	{"price of zero", offersFile, "17.40", "0", []string{
		`offers.csv:2, column price: “0” is not more than zero; give the price`,
	}},
	{"price finer than a cent", offersFile, "17.40", "17.4011", []string{
		`offers.csv:2, column price: “17.4011” has more than the 2 decimals of EUR; write it like 12.40`,
	}},
	{"neither yes nor no", rackFile, "yes", "maybe", []string{
		`rack.csv:2, column offcut: “maybe” is not known here; write yes or no, or say in workshop.toml what it means, below [words.rack], in a line like offcut = "maybe = MEANING"`,
	}},

	{"job twice", jobsFile, "2,2027-03-16,A", "2,2027-03-16,A,,oak,,,,100,100,,club\n1,2027-03-16,C", []string{
		`jobs.csv:6, column job: job “1” stands here again; its rows start in line 2; put a job's rows together, or give this job another name`,
	}},
	{"job of two customers", jobsFile, "250,", "250,other", []string{
		`jobs.csv:3, column customer: “other” is not what line 2 says of the same job, which is “choir”; make them the same, or give this row a job of its own`,
	}},
	{"job due on two days", jobsFile, "1,,B,1", "1,2027-03-17,B,1", []string{
		`jobs.csv:3, column due: “2027-03-17” is not what line 2 says of the same job, which is “2027-03-15”; make them the same, or give this row a job of its own`,
	}},
	{"bad date", jobsFile, "2027-03-16", "16.03.27", []string{
		`jobs.csv:5, column due: “16.03.27” can be read in two ways, as 2027-03-16 and as 2016-03-27; write 2027-03-16 or 2016-03-27, or, if the first is what you mean by such, set dates = "day.month.year" under [tables] in workshop.toml, of a book by "longpoint settings --set tables.dates=day.month.year"`,
	}},
	{"no such day", jobsFile, "2027-03-16", "2027-02-30", []string{
		`jobs.csv:5, column due: “2027-02-30” is not a date; write year-month-day, like 2026-11-24`,
	}},
	{"no date", jobsFile, "2027-03-16", "", []string{
		`jobs.csv:5, column due: nothing is given here; fill it in`,
	}},
	{"no job", jobsFile, "2,2027-03-16", ",2027-03-16", []string{
		`jobs.csv:5, column job: nothing is given here; fill it in`,
	}},
	{"two sides", jobsFile, "6,sight", "2,sight", []string{
		`jobs.csv:3, column sides: “2” is out of range; give a whole number from 3 to 24`,
	}},
	{"25 sides", jobsFile, "6,sight", "25,sight", []string{
		`jobs.csv:3, column sides: “25” is out of range; give a whole number from 3 to 24`,
	}},
	{"sides that are none", jobsFile, "6,sight", "six,sight", []string{
		`jobs.csv:3, column sides: “six” is not a whole number; give a whole number from 3 to 24, or say in workshop.toml what it means, below [words.jobs], in a line like sides = "six = NUMBER"`,
	}},
	{"given by nothing known", jobsFile, "sight", "sihgt", []string{
		`jobs.csv:3, column given_by: “sihgt” is not known here; did you mean sight? write content, rebate, sight or outside`,
	}},
	{"across an odd number of sides", jobsFile, "6,sight", "5,sight", []string{
		`jobs.csv:3, column across: a frame with an odd number of sides has no distance across flats; give the length of a side in width`,
	}},
	{"across and width", jobsFile, "sight,,,250", "sight,100,,250", []string{
		`jobs.csv:3, column across: the size is given twice, by the side in width and across flats; leave one of them blank`,
	}},
	{"height of a hexagon", jobsFile, "sight,,,250", "sight,,9,250", []string{
		`jobs.csv:3, column height: only a frame of four sides has a height; leave it blank and give the side in width, or the distance across flats in across`,
	}},
	{"across a rectangle", jobsFile, "400,,", "400,5,", []string{
		`jobs.csv:2, column across: a frame of four sides has no distance across flats; give its width and height instead`,
	}},
	{"quantity 0", jobsFile, "oak,2", "oak,0", []string{
		`jobs.csv:2, column quantity: “0” is out of range; give a whole number from 1 to 10000`,
	}},
	{"quantity over 10,000", jobsFile, "oak,2", "oak,10001", []string{
		`jobs.csv:2, column quantity: “10001” is out of range; give a whole number from 1 to 10000`,
	}},
	{"quantity beyond all numbers", jobsFile, "oak,2", "oak,99999999999999999999", []string{
		`jobs.csv:2, column quantity: “99999999999999999999” is out of range; give a whole number from 1 to 10000`,
	}},
	{"ring twice", jobsFile, "B,2", "B,1", []string{
		`jobs.csv:4, column ring: frame “B” has ring 1 twice in this job, in line 3 and here; number its rings 1, 2, … from the inside out, or give this frame another name`,
	}},
	{"ring missing", jobsFile, "B,2", "B,3", []string{
		`jobs.csv:4, column ring: frame “B” has a ring 3 but no ring 2; number its rings 1, 2, … from the inside out`,
	}},
	{"ring that is none", jobsFile, "B,2", "B,outer", []string{
		`jobs.csv:4, column ring: “outer” is not a whole number; give a whole number from 1 to 9, or say in workshop.toml what it means, below [words.jobs], in a line like ring = "outer = NUMBER"`,
	}},
	{"only an outer ring", jobsFile, "1,,B,1,oak,,6,sight,,,250,\n", "", []string{
		`jobs.csv:3, column ring: frame “B” has a ring 2 but no ring 1; number its rings 1, 2, … from the inside out`,
	}},
	{"size of an outer ring", jobsFile, "B,2,ash,,,,", "B,2,ash,,,,500", []string{
		`jobs.csv:4, column width: an outer ring takes this from the innermost one; leave it blank here`,
	}},
	{"other sides of an outer ring", jobsFile, "B,2,ash,,,,", "B,2,ash,,8,sight,", []string{
		`jobs.csv:4, column sides: an outer ring takes this from the innermost one, which has “6”; leave it blank here, or write the same`,
	}},
	{"other quantity of an outer ring", jobsFile, "B,2,ash,,,,", "B,2,ash,2,6,sight,", []string{
		`jobs.csv:4, column quantity: an outer ring takes this from the innermost one, which has “1”; leave it blank here, or write the same`,
	}},
	{"nested rings of no size", jobsFile, "sight,,,250", "outside,,,20", []string{
		`jobs.csv:3, column across: job 1, frame B: a frame of outside size 11.55 mm leaves no opening in profile oak, width 32 mm, rebate 7 mm; check the size and what it is given by, or take a narrower profile`,
	}},

	{"unknown ways of printing", settingsFile, "[defaults]", "[printing]\npaper = \"A5\"\ntickets = 3\nfraction = \"1/8\"\n[labels]\nform = \"leaf\"\n[defaults]", []string{
		`workshop.toml:11, setting printing.paper: “A5” is not known here; write A4 or Letter`,
		`workshop.toml:12, setting printing.tickets: “3” is not known here; write 1, 2 or 4`,
		`workshop.toml:13, setting printing.fraction: “1/8” is not known here; write 1/16, 1/32 or 1/64`,
		`workshop.toml:15, setting labels.form: “leaf” is not known here; write sheet or roll`,
	}},
	{"labels without a width", settingsFile, "[defaults]", "[labels]\nrows = 8\n[defaults]", []string{
		`workshop.toml, setting labels.width: the width of a label is missing; measure one, or leave out all about labels`,
	}},
	{"labels without rows", settingsFile, "[defaults]", "[labels]\nwidth = 60\nheight = 30\ncolumns = 3\n[defaults]", []string{
		`workshop.toml, setting labels.rows: 0 labels down a sheet is not from 1 to 100; count them`,
	}},
	{"negative clearance", settingsFile, "allowance = 3", "allowance = 3\nclearance = -2", []string{
		`workshop.toml:12, setting defaults.clearance: “-2” has a sign; write lengths without one`,
	}},
	{"not TOML", settingsFile, `"mm"`, `mm`, []string{
		`workshop.toml:2: this is not TOML: unexpected character 'm' at start of value; write key = "value", one a line, each text in quotation marks`,
	}},
	{"setting twice", settingsFile, `units = "mm"`, "units = \"mm\"\nunits = \"cm\"", []string{
		`workshop.toml:3: this is not TOML: key units is already defined; write key = "value", one a line, each text in quotation marks`,
	}},
	{"unknown setting", settingsFile, "shave", "shav", []string{
		`workshop.toml:8, setting machine.shav: there is no setting “machine.shav”; did you mean shave?`,
	}},
	{"setting in the wrong table", settingsFile, "rack_share", "kerf", []string{
		`workshop.toml, setting defaults.rack_share: this is missing; add it`,
		`workshop.toml:12, setting defaults.kerf: there is no setting “defaults.kerf”; take it out; what can stand here is allowance, clearance, rack_share, offcut_share, keep`,
	}},
	{"setting of another kind of key", settingsFile, "[machine]", "a.b.c = 1\n\"machine.kerf\" = 3\n[machine]", []string{
		`workshop.toml:5, setting a.b.c: there is no setting “a.b.c”; take it out; what can stand here is name, address, units, currency, machine.name, machine.type, machine.overrun, machine.kerf, machine.shave, machine.head_trim, machine.tail_trim, machine.bite, machine.finishing_bite, machine.limits.greatest_width, machine.limits.longest_side, machine.limits.shortest_side, machine.limits.least_angle, machine.limits.greatest_angle, machine.limits.stops, machine.limits.stop_gap, defaults.allowance, defaults.clearance, defaults.rack_share, defaults.offcut_share, defaults.keep, printing.paper, printing.tickets, printing.fraction, labels.form, labels.columns, labels.rows, labels.width, labels.height, labels.left, labels.top, labels.across, labels.down, tables.dates, tables.decimal, tables.thousands`,
		`workshop.toml:6, setting "machine.kerf": there is no setting “"machine.kerf"”; did you mean machine.kerf?`,
		`workshop.toml:6, setting machine.kerf: a guillotine has no kerf; take it out, or change machine.type`,
	}},
	{"setting deep in a table", settingsFile, "[defaults]", "a.b = 1\nlimits.stps = 2\n[defaults]", []string{
		`workshop.toml:10, setting machine.a.b: there is no setting “machine.a.b”; take it out; what can stand here is name, type, overrun, kerf, shave, head_trim, tail_trim, bite, finishing_bite, limits.greatest_width, limits.longest_side, limits.shortest_side, limits.least_angle, limits.greatest_angle, limits.stops, limits.stop_gap`,
		`workshop.toml:11, setting machine.limits.stps: there is no setting “machine.limits.stps”; did you mean limits.stops?`,
	}},
	{"unknown table", settingsFile, "[defaults]", "[habits]", []string{
		`workshop.toml, setting defaults.allowance: this is missing; add it`,
		`workshop.toml, setting defaults.rack_share: this is missing; add it`,
		`workshop.toml:10, setting habits: there is no table “[habits]”; take it out; what can stand here is machine, machine.limits, defaults, printing, labels, tables, headings.profiles, words.profiles, headings.suppliers, words.suppliers, headings.offers, words.offers, headings.rack, words.rack, headings.jobs, words.jobs`,
	}},
	{"table of tables", settingsFile, "[defaults]", "[[defaults]]", []string{
		`workshop.toml:10, setting defaults: “[[defaults]]” is a list of tables; write a table's name in single brackets`,
	}},
	{"setting that is a list", settingsFile, "shave = \"2 mm\"", "shave = [2]", []string{
		`workshop.toml:8, setting machine.shave: this is neither a text nor a number; write a number, or a text in quotation marks`,
	}},
	{"table that is a number", settingsFile, "[machine]\n", "machine = 3\n[machin]\n", []string{
		`workshop.toml, setting machine.shave: this is missing; add it`,
		`workshop.toml, setting machine.type: this is missing; add it`,
		`workshop.toml:5, setting machine: “machine” is a table, not a setting; write [machine] on a line of its own and its settings below it`,
		`workshop.toml:6, setting machin: there is no table “[machin]”; did you mean machine?`,
	}},
	{"bad unit in the settings", settingsFile, `"2 mm"`, `"2 ells"`, []string{
		`workshop.toml:8, setting machine.shave: “2 ells” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
	}},
	{"unknown units", settingsFile, `"mm"`, `"ells"`, []string{
		`workshop.toml:2, setting units: “ells” is not a unit of length; write mm, cm or in`,
	}},
	{"unknown currency", settingsFile, "EUR", "crowns", []string{
		`workshop.toml:3, setting currency: “crowns” is not a currency; write its ISO 4217 code, three letters such as EUR`,
	}},
	{"no units", settingsFile, "units = \"mm\"\n", "", []string{
		`workshop.toml, setting units: this is missing; add it`,
	}},
	{"unknown machine", settingsFile, "guillotine", "laser", []string{
		`workshop.toml:6, setting machine.type: “laser” is not known here; write guillotine or saw`,
	}},
	{"guillotine without overrun", settingsFile, "overrun = 1\n", "", []string{
		`workshop.toml, setting machine.overrun: this is missing; add it`,
	}},
	{"saw with an overrun", settingsFile, `"guillotine"`, "\"saw\"\nkerf = 3", []string{
		`workshop.toml:8, setting machine.overrun: a saw has no overrun; take it out, or change machine.type`,
	}},
	{"saw with a kerf of zero", settingsFile, "\"guillotine\"\noverrun = 1", "\"saw\"\nkerf = 0", []string{
		`workshop.toml:7, setting machine.kerf: “0” is not more than zero; give the length it really has`,
	}},
	{"share over 100", settingsFile, "50 %", "101 %", []string{
		`workshop.toml:12, setting defaults.rack_share: “101” is out of range; give a whole number from 0 to 100`,
	}},
	{"angle that is none", settingsFile, "[defaults]", "[machine.limits]\nleast_angle = \"steep\"\n[defaults]", []string{
		`workshop.toml:11, setting machine.limits.least_angle: “steep” is not an angle from 0 to 90 degrees; write degrees with up to six decimals, like 45 or 22.5`,
	}},
	{"greatest angle that is none", settingsFile, "[defaults]", "[machine.limits]\nleast_angle = 20\ngreatest_angle = 95\n[defaults]", []string{
		`workshop.toml:12, setting machine.limits.greatest_angle: “95” is not an angle from 0 to 90 degrees; write degrees with up to six decimals, like 45 or 22.5`,
	}},
	{"shortest side over the longest", settingsFile, "[defaults]", "[machine.limits]\nlongest_side = 100\nshortest_side = 120\n[defaults]", []string{
		`workshop.toml:12, setting machine.limits.shortest_side: the shortest side, 120 mm, is longer than the longest, 100 mm; exchange them`,
	}},
	{"least angle over the greatest", settingsFile, "[defaults]", "limits = {least_angle = 45, greatest_angle = 30}\n[defaults]", []string{
		`workshop.toml:10, setting machine.limits.least_angle: the least angle, 45°, is more than the greatest, 30°; exchange them`,
	}},
}

func TestBadInput(t *testing.T) {
	for _, row := range badInputs {
		t.Run(row.name, func(t *testing.T) {
			dir := place(t, row.file, row.old, row.new)
			_, err := Read(dir)
			var found model.Errors
			if !errors.As(err, &found) {
				t.Fatalf("error %v", err)
			}
			got := strings.Split(strings.ReplaceAll(err.Error(), dir+string(os.PathSeparator), ""), "\n")
			if diff := cmp.Diff(row.want, got); diff != "" {
				t.Errorf("want, got:\n%s", diff)
			}
		})
	}
}

// TestBadFiles spoils one whole file of the small workshop.
func TestBadFiles(t *testing.T) {
	for _, row := range []struct {
		name  string
		spoil func(path string) error
		want  string
	}{
		{"missing", os.Remove, "rack.csv: there is no such file; put it there; a table with nothing in it still has its heading"},
		{"a folder", func(path string) error {
			return errors.Join(os.Remove(path), os.Mkdir(path, 0o777))
		}, "rack.csv: this is a folder where a file should be; put the file in its place"},
		{"a pipe", func(path string) error {
			return errors.Join(os.Remove(path), syscall.Mkfifo(path, 0o666))
		}, "rack.csv: this is not an ordinary file; put an ordinary file in its place"},
		{"a link to itself", func(path string) error {
			return errors.Join(os.Remove(path), os.Symlink(path, path))
		}, "rack.csv: the file cannot be read: too many levels of symbolic links; see that it may be read"},
		{"one byte too large", func(path string) error {
			return os.Truncate(path, int64(table.Ordinary().Bytes)+1)
		}, "rack.csv: the file is larger than 64 MB; take out what the week's plan does not need"},
		{"as large as may be", func(path string) error { return os.Truncate(path, int64(table.Ordinary().Bytes)) },
			"rack.csv:3: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
		{"zero bytes", contents("stick,profile,length\nR1,o\x00k,1200\n"), "rack.csv:2: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
		{"the start of a workbook", contents("PK\x03\x04\x14\x00"), "rack.csv: the workbook is damaged: zip: not a valid zip file; open it in the spreadsheet program and save it again"},
		{"a marked UTF-8 that is none", contents("\ufeffstick\nprofile\n\xe9"), "rack.csv:3: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
		{"UTF-16 with half a pair", contents("\xff\xfes\x00\n\x00\x00\xd8x\x00"), "rack.csv:2: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
		{"UTF-16 with half a character", contents("\xff\xfes\x00\n"), "rack.csv:1: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
		{"a byte that Windows-1252 leaves undefined", contents("stick\xe9\n\x81"), "rack.csv:2: this is not text; save the table as CSV, best as UTF-8, or as XLSX"},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir := place(t, "", "", "")
			if err := row.spoil(filepath.Join(dir, rackFile)); err != nil {
				t.Fatal(err)
			}
			_, err := Read(dir)
			if err == nil {
				t.Fatal("no error")
			}
			if got := strings.TrimPrefix(err.Error(), dir+string(os.PathSeparator)); got != row.want {
				t.Errorf("got  %s\nwant %s", got, row.want)
			}
		})
	}
}

// TestBadSettingsFiles spoils the whole of workshop.toml, which is no table.
func TestBadSettingsFiles(t *testing.T) {
	for _, row := range []struct {
		name  string
		spoil func(path string) error
		want  string
	}{
		{"missing", os.Remove, `workshop.toml: there is no such file; put it there; "longpoint demo" writes one to start from`},
		{"zero bytes", contents("units\x00"), "workshop.toml:1: this is not text; save it from a plain text editor, best as UTF-8"},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir := place(t, "", "", "")
			if err := row.spoil(filepath.Join(dir, settingsFile)); err != nil {
				t.Fatal(err)
			}
			_, err := Read(dir)
			if err == nil {
				t.Fatal("no error")
			}
			if got := strings.TrimPrefix(err.Error(), dir+string(os.PathSeparator)); got != row.want {
				t.Errorf("got  %s\nwant %s", got, row.want)
			}
		})
	}
}

func contents(text string) func(path string) error {
	return func(path string) error { return os.WriteFile(path, []byte(text), 0o666) }
}

func TestBadFolders(t *testing.T) {
	root := t.TempDir()
	write(t, filepath.Join(root, "file"), "")
	for name, want := range map[string]string{
		"none": "there is no such folder; name the folder that holds workshop.toml and the tables",
		"file": "this is not a folder; name the folder that holds workshop.toml and the tables",
	} {
		dir := filepath.Join(root, name)
		if _, err := Read(dir); err == nil || err.Error() != dir+": "+want {
			t.Errorf("got  %v\nwant %s: %s", err, dir, want)
		}
	}
}

// TestABadTableBlamesNoOther leaves out a whole table: rows of others that refer to it are not wrong for that.
func TestABadTableBlamesNoOther(t *testing.T) {
	dir := place(t, profilesFile, "rebate", "lip")
	_, err := Read(dir)
	want := filepath.Join(dir, profilesFile)
	for _, e := range err.(model.Errors) {
		if e.Where.File != want {
			t.Errorf("%v", e)
		}
	}
}
