package folder

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
)

// full is the small workshop with something in every column for buying, rack and matching.
var full = map[string]string{
	settingsFile: strings.Replace(small[settingsFile], "rack_share", "offcut_share = 20\nrack_share", 1),
	profilesFile: `profile,width,rebate,keep,offcut_share,match,repeat,set_up
oak,32,7,300,40 %,lot,,"rest 20 mm, block 8 mm"
ash,1 1/2 in,1/4 in,12 in,,,2 1/2 in,
`,
	suppliersFile: `supplier,least_order,least_sticks,delivery
North,120.00,,14.50
South,,6,
`,
	offersFile: `supplier,profile,stick_length,longest,bundle,from,price,until
North,oak,3000,,,,17.40,
North,oak,3000,,,10,16.20,
North,oak,3000,,,20,15.50,
South,oak,2400,,6,,80.00,2027-03-16
South,oak,2400,,6,3,76,2027-03-16
North,ash,9 ft,12 ft,,,20,
`,
	rackFile: `stick,profile,length,value,offcut,lot,damaged
R1,oak,1200,,yes,a 7,600 to 640; 0 to 45
R2,ash,8 ft,,,,60 in to 62 in
`,
	jobsFile: `job,due,match,frame,ring,profile,quantity,sides,given_by,width,height,across,customer
1,2027-03-15,stick,A,,oak,2,,,300,400,,choir
1,,,B,1,oak,,6,sight,,,250,
1,,,B,2,ash,,,,,,,
2,2027-03-16,,A,,ash,,,,8 in,10 in,,club
`,
}

func TestReadFull(t *testing.T) {
	got, err := Read(placeOf(t, full, "", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	const mm = model.Length(1_000_000)
	const inch = model.Length(25_400_000)
	want, err := Read(place(t, "", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	until, err := model.ParseDate("2027-03-16")
	if err != nil {
		t.Fatal(err)
	}
	want.Defaults.OffcutShare = 20
	want.Profiles[0].OffcutShare = model.OptionalShare{Percent: 40, Given: true}
	want.Profiles[0].Match = model.MatchLot
	want.Profiles[0].SetUp = "rest 20 mm, block 8 mm"
	want.Profiles[1].Repeat = inch * 5 / 2
	want.Suppliers = []model.Supplier{
		{Name: "North", LeastMoney: model.OptionalMoney{Amount: 12000, Given: true}, Delivery: 1450},
		{Name: "South", LeastSticks: 6},
	}
	want.Offers = []model.Offer{
		{Supplier: "North", Profile: "oak", Length: 3000 * mm, Bundle: 1, From: 1, Price: 1740},
		{Supplier: "North", Profile: "oak", Length: 3000 * mm, Bundle: 1, From: 10, Price: 1620},
		{Supplier: "North", Profile: "oak", Length: 3000 * mm, Bundle: 1, From: 20, Price: 1550},
		{Supplier: "South", Profile: "oak", Length: 2400 * mm, Bundle: 6, From: 1, Price: 8000, Until: until},
		{Supplier: "South", Profile: "oak", Length: 2400 * mm, Bundle: 6, From: 3, Price: 7600, Until: until},
		{Supplier: "North", Profile: "ash", Length: 108 * inch, Longest: 144 * inch, Bundle: 1, From: 1, Price: 2000},
	}
	want.Rack = []model.Stick{
		{ID: "R1", Profile: "oak", Length: 1200 * mm, Offcut: true, Lot: "a 7", Damage: []model.Span{{From: 0, To: 45 * mm}, {From: 600 * mm, To: 640 * mm}}},
		{ID: "R2", Profile: "ash", Length: 96 * inch, Damage: []model.Span{{From: 60 * inch, To: 62 * inch}}},
	}
	want.Jobs[0].Match = model.MatchStick
	if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{})); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}

func TestSuppliersNeedNotBeThere(t *testing.T) {
	dir := placeOf(t, full, "", "", "")
	if err := os.Remove(filepath.Join(dir, suppliersFile)); err != nil {
		t.Fatal(err)
	}
	w, err := Read(dir)
	if err != nil || w.Suppliers != nil {
		t.Fatalf("%v, %v", w, err)
	}
	if err := os.Mkdir(filepath.Join(dir, suppliersFile), 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := Read(dir); err == nil || !strings.Contains(err.Error(), "suppliers.csv: this is a folder where a file should be") {
		t.Errorf("a folder in its place: %v", err)
	}
}

// TestBadBuying spoils the full workshop in one place each; want is every error, without the folder's name.
func TestBadBuying(t *testing.T) {
	for _, row := range []struct {
		name     string
		file     string
		old, new string
		want     []string
	}{
		{"misspelt new column", offersFile, "bundle", "bundel", []string{
			`offers.csv:1, column bundel: there is no column “bundel”; did you mean bundle?`,
		}},
		{"unknown column of the terms", suppliersFile, "delivery", "carriage", []string{
			`suppliers.csv:1, column carriage: there is no column “carriage”; the columns of this table are supplier, least_order, least_sticks, delivery, free_from, delivery_days, address; say in workshop.toml which of them it is, below [headings.suppliers], in a line like supplier = "carriage", or none = "carriage" where it is none`,
		}},
		{"terms of no name", suppliersFile, "supplier", "least_order", []string{
			`suppliers.csv:1, column least_order: the column stands in the heading twice; take one away`,
			`suppliers.csv:1, column supplier: the column is missing; add it to the heading`,
		}},
		{"bundle of 0", offersFile, ",6,,80.00", ",0,,80.00", []string{
			`offers.csv:5, column bundle: “0” is out of range; give a whole number from 1 to 1000`,
		}},
		{"bundle over the most", offersFile, ",6,,80.00", ",1001,,80.00", []string{
			`offers.csv:5, column bundle: “1001” is out of range; give a whole number from 1 to 1000`,
		}},
		{"bundle of a half", offersFile, ",6,,80.00", ",1.5,,80.00", []string{
			`offers.csv:5, column bundle: “1.5” is not a whole number; give a whole number from 1 to 1000`,
		}},
		{"bundle of 0 beside rows of single sticks", offersFile, "North,oak,3000,,,,17.40", "North,oak,3000,,0,10,90", []string{
			`offers.csv:2, column bundle: “0” is out of range; give a whole number from 1 to 1000`,
		}},
		{"from 0", offersFile, ",,10,16.20", ",,0,16.20", []string{
			`offers.csv:3, column from: “0” is out of range; give a whole number from 1 to 10000`,
		}},
		{"overlapping breaks", offersFile, ",,20,15.50", ",,10,15.50", []string{
			`offers.csv:4, column from: North offers the same of oak twice from 10 sticks on, first in line 3; take one out, or correct from how many on it holds`,
		}},
		{"overlapping breaks of bundles", offersFile, ",6,3,76", ",6,1,76", []string{
			`offers.csv:6, column from: South offers the same of oak twice from 1 bundle on, first in line 5; take one out, or correct from how many on it holds`,
		}},
		{"break that is dearer", offersFile, ",,20,15.50", ",,20,16.21", []string{
			`offers.csv:4, column price: North asks more for oak from 20 sticks on, 16.21 EUR each, than from 10 sticks on, 16.20 EUR; check both: the price is of one stick, or of one bundle, and falls with the quantity`,
		}},
		{"longest below the length", offersFile, "9 ft,12 ft", "12 ft,9 ft", []string{
			`offers.csv:7, column longest: the longest of random lengths, 2743.2 mm, is shorter than the shortest, 3657.6 mm; write the shortest in stick_length and the longest here, or leave this blank where all are of one length`,
		}},
		{"longest that is no length", offersFile, "9 ft,12 ft", "9 ft,long", []string{
			`offers.csv:7, column longest: “long” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
		}},
		{"price of a bundle finer than a cent", offersFile, "80.00", "80.0051", []string{
			`offers.csv:5, column price: “80.0051” has more than the 2 decimals of EUR; write it like 12.40`,
		}},
		{"last day that is none", offersFile, "80.00,2027-03-16", "80.00,16 March", []string{
			`offers.csv:5, column until: “16 March” is not a date; write year-month-day, like 2026-11-24`,
		}},
		{"delivery finer than a cent", suppliersFile, "14.50", "14.5051", []string{
			`suppliers.csv:2, column delivery: “14.5051” has more than the 2 decimals of EUR; write it like 12.40`,
		}},
		{"negative delivery", suppliersFile, "14.50", "-14.50", []string{
			`suppliers.csv:2, column delivery: “-14.50” has a sign; write amounts of money without one`,
		}},
		{"negative least order", suppliersFile, "120.00", "-120", []string{
			`suppliers.csv:2, column least_order: “-120” has a sign; write amounts of money without one`,
		}},
		{"negative price", offersFile, "17.40", "-17.40", []string{
			`offers.csv:2, column price: “-17.40” has a sign; write amounts of money without one`,
		}},
		{"least sticks that are none", suppliersFile, ",6,", ",six,", []string{
			`suppliers.csv:3, column least_sticks: “six” is not a whole number; give a whole number from 0 to 10000, or say in workshop.toml what it means, below [words.suppliers], in a line like least_sticks = "six = NUMBER"`,
		}},
		{"supplier twice", suppliersFile, "South", "North", []string{
			`suppliers.csv:3, column supplier: supplier “North” is there twice, first in line 2; put its terms in one row`,
		}},
		{"terms of a supplier without offers", suppliersFile, "South", "Suoth", []string{
			`suppliers.csv:3, column supplier: supplier “Suoth” has terms but offers nothing; did you mean South? If they are two, take in what this one offers first`,
		}},
		{"terms of nobody", suppliersFile, "South", "", []string{
			`suppliers.csv:3, column supplier: nothing is given here; fill it in`,
		}},
		{"damage outside the stick", rackFile, "600 to 640", "1180 to 1210", []string{
			`rack.csv:2, column damaged: stick R1: the damage from 1180 mm to 1210 mm lies outside the stick, which is 1200 mm long; measure it from the head, or check the stick's length`,
		}},
		{"damage the wrong way round", rackFile, "600 to 640", "640 to 600", []string{
			`rack.csv:2, column damaged: stick R1: the damage from 640 mm to 600 mm ends before it begins; write the end nearer the head first`,
		}},
		{"damage overlapping", rackFile, "600 to 640", "40 to 640", []string{
			`rack.csv:2, column damaged: stick R1: the damage from 40 mm to 640 mm overlaps that from 0 mm to 45 mm; write the two as one`,
		}},
		{"damage that is none", rackFile, "600 to 640", "at the head", []string{
			`rack.csv:2, column damaged: “at the head” is not a part of a stick; write from where to where, like 0 to 45; 1200 to 1260, measured from the head`,
		}},
		{"damage of one unit for two ends", rackFile, "60 in to 62 in", "60 to 62 in", []string{
			`rack.csv:3, column damaged: “60 to 62 in” has a unit at one end only; write the unit at both ends, or at none`,
		}},
		{"damage of no length", rackFile, "600 to 640", "600 to ell", []string{
			`rack.csv:2, column damaged: “ell” is not a length; write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`,
		}},
		{"match misspelt", profilesFile, "lot", "lots", []string{
			`profiles.csv:2, column match: “lots” is no rule of matching; did you mean lot? write free, lot, pair or stick`,
		}},
		{"match unknown", jobsFile, "15,stick", "15,twin", []string{
			`jobs.csv:2, column match: “twin” is no rule of matching; write free, lot, pair or stick, or say in workshop.toml what it means, below [words.jobs], in a line like match = "twin = MEANING"`,
		}},
		{"job of two rules", jobsFile, "1,,,B,1", "1,,lot,B,1", []string{
			`jobs.csv:3, column match: “lot” is not what line 2 says of the same job, which is “stick”; make them the same, or give this row a job of its own`,
		}},
		{"repeat of 0", profilesFile, "2 1/2 in", "0", []string{
			`profiles.csv:3, column repeat: “0” is not more than zero; give the length it really has`,
		}},
		{"negative repeat", profilesFile, "2 1/2 in", "-3", []string{
			`profiles.csv:3, column repeat: “-3” has a sign; write lengths without one`,
		}},
		{"repeat longer than every stick", profilesFile, "2 1/2 in", "3 m", []string{
			`profiles.csv:3, column repeat: profile ash has a repeat of 3000 mm, and its longest stick is 2743.2 mm long; check the number: it is the distance from one flower or leaf of the pattern to the next`,
		}},
		{"offer of nobody: the terms are not to blame", offersFile, "South,oak,2400,,6,,80.00,2027-03-16\nSouth,oak", ",oak", []string{
			`offers.csv:5, column supplier: nothing is given here; fill it in`,
		}},
		{"share over 100", profilesFile, "40 %", "101 %", []string{
			`profiles.csv:2, column offcut_share: “101” is out of range; give a whole number from 0 to 100`,
		}},
		{"the workshop's share over 100", settingsFile, "offcut_share = 20", "offcut_share = 120", []string{
			`workshop.toml:12, setting defaults.offcut_share: “120” is out of range; give a whole number from 0 to 100`,
		}},
		{"share below nothing", settingsFile, "offcut_share = 20", "offcut_share = -1", []string{
			`workshop.toml:12, setting defaults.offcut_share: “-1” is out of range; give a whole number from 0 to 100`,
		}},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir := placeOf(t, full, row.file, row.old, row.new)
			_, err := Read(dir)
			var found model.Errors
			if !errors.As(err, &found) {
				t.Fatalf("error %v", err)
			}
			for _, e := range found {
				if e.Kind != model.BadInput {
					t.Errorf("kind %d of %v", e.Kind, e)
				}
			}
			got := strings.Split(strings.ReplaceAll(err.Error(), dir+string(os.PathSeparator), ""), "\n")
			if diff := cmp.Diff(row.want, got); diff != "" {
				t.Errorf("want, got:\n%s", diff)
			}
		})
	}
}

// TestNextDemoUsesEverything counts what the next demo is to show.
func TestNextDemoUsesEverything(t *testing.T) {
	w := readFiles(t, Demo())
	have := map[string]int{}
	count := func(what string, is bool) {
		if is {
			have[what]++
		}
	}
	for _, o := range w.Offers {
		count("bundles", o.PerBundle() > 1)
		count("breaks", o.LeastBundles() > 1)
		count("offers that end", !o.Until.IsZero())
		count("random lengths", o.Longest > o.Length)
	}
	for _, s := range w.Suppliers {
		count("least orders in money", s.LeastMoney.Amount > 0)
		count("least orders in sticks", s.LeastSticks > 0)
		count("delivery charges", s.Delivery > 0)
	}
	for _, s := range w.Rack {
		count("damaged sticks", len(s.Damage) > 0)
		count("sticks of a lot", s.Lot != "")
	}
	for _, p := range w.Profiles {
		count("patterned profiles", p.Repeat > 0)
		count("profiles whose offcuts count", p.OffcutShare.Percent > 0)
		count("set-up notes", p.SetUp != "")
	}
	for _, j := range w.Jobs {
		count("jobs that match by "+string(j.Match), j.Match != "")
	}
	for _, row := range []struct {
		what  string
		least int
	}{
		{"bundles", 2}, {"breaks", 3}, {"offers that end", 1}, {"random lengths", 2}, {"least orders in money", 1}, {"least orders in sticks", 1},
		{"delivery charges", 2}, {"damaged sticks", 2}, {"sticks of a lot", 6}, {"patterned profiles", 1}, {"profiles whose offcuts count", 2},
		{"set-up notes", 3}, {"jobs that match by lot", 1}, {"jobs that match by pair", 1}, {"jobs that match by stick", 1},
	} {
		if have[row.what] < row.least {
			t.Errorf("%d %s, want %d", have[row.what], row.what, row.least)
		}
	}
}

// TestNextDemoCanBeMatched lays each frame that is to match on the longest run there is of its profile: all its sides, or a long
// one and a short one.
func TestNextDemoCanBeMatched(t *testing.T) {
	w := readFiles(t, Demo())
	tried := 0
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			rings, err := f.Geometry(w.ProfileByName)
			if err != nil {
				t.Fatal(err)
			}
			for _, ring := range rings {
				p, _ := w.ProfileByName(ring.Profile)
				var takes, longest model.Length
				switch w.MatchOf(j, p) {
				case model.MatchStick:
					for _, side := range ring.Sides {
						takes += w.Machine.Needs(p, ring.Shape, side.LongPoint)
					}
				case model.MatchPair:
					takes = w.Machine.Needs(p, ring.Shape, ring.Sides[0].LongPoint) + w.Machine.Needs(p, ring.Shape, ring.Sides[1].LongPoint)
				default:
					continue
				}
				tried++
				sticks := w.Rack
				for _, o := range w.OffersOf(p.Name, j.Due) {
					sticks = append(sticks, model.Stick{Profile: o.Profile, Length: o.Length})
				}
				trims := w.Machine.Trims(p, []model.Shape{ring.Shape})
				for _, s := range sticks {
					for _, run := range s.Sound(trims) {
						if s.Profile == p.Name {
							longest = max(longest, p.Usable(run))
						}
					}
				}
				if takes > longest {
					t.Errorf("job %s, frame %s: %s of %s wanted on one stick, which gives %s at most", j.ID, f.ID, takes, p.Name, longest)
				}
			}
		}
	}
	if tried < 3 {
		t.Errorf("only %d frames to match", tried)
	}
}
