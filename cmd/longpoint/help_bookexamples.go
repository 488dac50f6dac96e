package main

// The examples in the help of the commands on a book. The same rules as in examples.go; each makes a book of its own of
// my-workshop, so that they do not hang on each other.
const (
	bookExample = `
  $ longpoint book new shop.book --from my-workshop
  The book is in shop.book. To plan it: longpoint plan shop.book
  $ longpoint book check shop.book
  checked: shop.book: the book is sound
  $ longpoint book export shop.book tables
  The book's tables are in tables.
  $ longpoint book import shop.book tables/offers.csv --dry-run
  …
  $ longpoint book backup shop.book copy.book
  checked: copy.book: copied, and the copy is sound`

	takeExample = `
  $ longpoint book new take.book --from my-workshop
  …
  $ longpoint take take.book my-workshop/jobs.csv
  Nothing new: these jobs are in the book.`

	orderExample = `
  $ longpoint book new order.book --from my-workshop
  …
  $ longpoint plan order.book --profile oak-56 --summary
  …
  Kept in the book as plan 1.
  $ longpoint order order.book
  Ordered: order 1 from Invented Supplies North, not sent yet
  line  profile  stick mm  sticks  arrived  to come  cost EUR
  ───────────────────────────────────────────────────────────
     1  oak-56       3000       4        0        4    124.80
  …
  $ longpoint order change order.book 1 1 --sticks 6
  …
  $ longpoint order send order.book
  …`

	receiveExample = `
  $ longpoint book new receive.book --from my-workshop
  …
  $ longpoint plan receive.book --profile oak-56 --summary
  …
  $ longpoint order receive.book
  …
  $ longpoint receive receive.book 1 --place "bay 3"
  On the rack: P1-1, P1-2, P1-3 and P1-4. Write the names on the sticks.
  Labels with "new" and a number were printed before the order was sent: print
  those again.
  $ longpoint receive receive.book 1
  Order 1 has arrived already.`

	runExample = `
  $ longpoint book new run.book --from my-workshop
  …
  $ longpoint plan run.book --profile oak-56 --until 2027-03-18 --summary
  …
  $ longpoint run run.book oak-56
  Run 1, open: oak-56 by plan 1; 0 of 4 sides done. Lengths are in mm.
  …
  Stick 1: R5 · rack, bay 1, lot oiled 2 · 2700 mm
  cut  stop   long point  measure + 2 × set  side  job   frame     left
  ─────────────────────────────────────────────────────────────────────
    1  set 1         597  503 + 2 × 47       B     2711  portrait  2042
    2  set 2         497  403 + 2 × 47       A     2711  portrait  1540
    3  1             597  503 + 2 × 47       D     2711  portrait   938
    4  2             497  403 + 2 × 47       C     2711  portrait   436
  …`

	cutExample = `
  $ longpoint book new cut.book --from my-workshop
  …
  $ longpoint plan cut.book --profile oak-56 --until 2027-03-18 --summary
  …
  $ longpoint run cut.book oak-56
  …
  $ longpoint cut cut.book R5 B D
  Run 1, oak-56, in mm: 2 of 4 sides done.
  R5: B 597 and D 597 done, 1440 left, 2 to cut.
  Next: cut 2, side A of job 2711, off R5; stop 2 is set to 497 mm.
  $ longpoint cut cut.book R5:4 --became torn
  Run 1, oak-56, in mm: 2 of 4 sides done, 1 torn.
  R5: C 497 torn, to be made again, 938 left, 1 to cut.
  …
  $ longpoint cut cut.book R6
  Run 1, oak-56, in mm: 3 of 4 sides done, 1 torn.
  …`

	finishExample = `
  $ longpoint book new finish.book --from my-workshop
  …
  $ longpoint plan finish.book --profile oak-56 --until 2027-03-18 --summary
  …
  $ longpoint run finish.book oak-56
  …
  $ longpoint cut finish.book oak-56
  …
  $ longpoint finish finish.book
  Run 1 is finished: 1 stick used up.
  On the rack: offcut 1, 436 mm, left of R5, at bay 1.
  Ready: job 2711.`

	undoExample = `
  $ longpoint book new undo.book --from my-workshop
  …
  $ longpoint rack undo.book --discard R5
  …
  $ longpoint undo undo.book --yes
  …
  $ longpoint undo undo.book --step 2
  Step 2 was taken back already.`

	rackExample = `
  $ longpoint book new rack.book --from my-workshop
  …
  $ longpoint rack rack.book --profile oak-56
  profile  stick     length mm  cost EUR  place         what it is
  ─────────────────────────────────────────────────────────────────
  oak-56   R5             2700     13.95  bay 1         lot oiled 2
  oak-56   R6             1215      6.28  offcuts left  offcut
  ─────────────────────────────────────────────────────────────────
  all      2 sticks                20.23
  …
  $ longpoint rack add rack.book oak-56 2100 --why "behind the bench"
  On the rack: F1. Write the names on the sticks.
  $ longpoint rack count rack.book oak-56 --missing R6
  Expected of oak-56: 3 sticks, 6015 mm, worth 31.08 EUR. There: 2 sticks,
  4800 mm, worth 24.80 EUR.`

	jobsExample = `
  $ longpoint book new jobs.book --from my-workshop
  …
  $ longpoint jobs jobs.book --dropped 2702
  job   customer          due         state  sides  cut  spoilt  cost EUR
  ───────────────────────────────────────────────────────────────────────
  2701  harbour café      2027-03-15  open      24    0       0         –
  2703  walk-in           2027-03-15  open       4    0       0         –
  …
  $ longpoint jobs show jobs.book 2703
  …
  $ longpoint jobs change jobs.book 2703 --due 2027-03-19 --why "she rang"
  Written down: job 2703: due 2027-03-19, not 2027-03-15.`

	historyExample = `
  $ longpoint book new history.book --from my-workshop --why "to try it"
  …
  $ longpoint history history.book
  …`

	yieldExample = `
  $ longpoint book new yield.book --from my-workshop
  …
  $ longpoint plan yield.book --profile oak-56 --until 2027-03-18 --summary
  …
  $ longpoint run yield.book oak-56
  …
  $ longpoint cut yield.book oak-56
  …
  $ longpoint finish yield.book
  …
  $ longpoint yield yield.book
  profile  sticks  used up mm  waste mm  yield %  spoilt  waste EUR
  ─────────────────────────────────────────────────────────────────
  oak-56        1        2264        76     96.6       0       0.42`

	bladesExample = `
  $ longpoint book new blades.book --from my-workshop
  …
  $ longpoint blades blades.book --add "set A" --height 30 --mount "set A"
  blade set  state    height mm  sharpened  days  chops  bites
  ────────────────────────────────────────────────────────────
  set A      mounted         30          0     0      0      0
  …
  $ longpoint blades blades.book --remind "set A" --days 100
  …`

	settingsExample = `
  $ longpoint book new settings.book --from my-workshop
  …
  $ longpoint settings settings.book --set tables.dates=month/day/year
  Changed: tables.dates year-month-day → month/day/year.`

	startExample = `
  $ longpoint start my.book --no-browser --listen 127.0.0.1:0 --for 1s
  …
  Stopped.`

	examineExample = `
  $ longpoint book new examine.book --from my-workshop
  …
  $ longpoint examine examine.book --on 2027-03-10
  …
  Jobs
      10 jobs, such as 2701, 2702 and 2703: due within 7 days and in no plan.
      longpoint plan examine.book
  …`

	serveExample = `
  $ longpoint book new serve.book --from my-workshop
  …
  $ longpoint serve serve.book --listen 127.0.0.1:0 --no-browser --for 1s
  …
  Stopped.`
)

const pricesExample = `
  $ longpoint book new prices.book --from my-workshop
  …
  $ longpoint prices prices.book my-workshop/offers.csv --supplier East \
      --article article --price price --length stick_length \
      --is OS56/2700=oak-56
  Prices of East by my-workshop/offers.csv: 25 rows

       profile  stick mm  sold  article    was EUR  is EUR  %
  ───────────────────────────────────────────────────────────
  new  oak-56       2700        OS56/2700            27.90
  …`
