package main

// The examples in the commands' help. A line that begins with $ is typed, what follows is the answer, and … stands for
// lines left out. A test types them all into one empty folder, the root command's first: that writes my-workshop, which
// the others use.
const (
	rootExample = `
  $ longpoint demo my-workshop
  The demo workshop is in my-workshop. To plan it: longpoint plan my-workshop
  $ longpoint plan my-workshop --on 2027-03-10
  Cutting plan for Demo workshop (invented): all jobs, ordered on 2027-03-10
  …`

	sizeExample = `
  $ longpoint size --sight "400 x 500" --width 32 --rebate-width 6
  Rectangle, mitre angle 45° from a square cut.
  Moulding 32 mm wide, rebate 6 mm, allowance 0 mm.

  size     width mm  height mm
  ────────────────────────────
  content       412        512
  rebate        412        512
  sight         400        500
  outside       464        564

  side  long point mm  measure mm  set mm
  ───────────────────────────────────────
  A C             464         412      26
  B D             564         512      26

  Moulding in the frame, all long points together: 2056 mm.
  …`

	planExample = `
  $ longpoint plan my-workshop --profile oak-56 --until 2027-03-18
  …
  profile  sides  from rack  to buy  cost EUR  bound EUR  grade   yield %
  ───────────────────────────────────────────────────────────────────────
  oak-56       4          1       0     13.95      13.95  proven     96.6
  ───────────────────────────────────────────────────────────────────────
  all          4          1       0     13.95      13.95  proven     96.6
  …
  Stick 1 of 1: R5, from the rack (bay 1), lot oiled 2, 2700 mm
  ##\   1 B 597   /\  2 A 497  /\   3 D 597    /\  4 C 497  /...........
  0            500          1000         1500         2000         2500 mm
  cut  side  long point mm  = measure + 2 × set mm  job   frame
  ────────────────────────────────────────────────────────────────
    1  B               597  503 + 2 × 47            2711  portrait
    2  A               497  403 + 2 × 47            2711  portrait
    3  D               597  503 + 2 × 47            2711  portrait
    4  C               497  403 + 2 × 47            2711  portrait
  Left over: 436 mm, back on the rack as offcut 1.`

	buyExample = `
  $ longpoint buy my-workshop --profile oak-56
  …
  Invented Supplies North
  profile  stick mm  sticks  each EUR  cost EUR  for jobs        next best
  ────────────────────────────────────────────────────────────────────────
  oak-56       3000       4     31.20    124.80  2711 2716 2720     +19.97
  ────────────────────────────────────────────────────────────────────────
  all                                    124.80
  oak-56, 3000 mm: 2 sticks left over for the rack, worth 31.00 EUR.
  An order must come to at least 120.00 EUR, and this one has 4 sticks for
  124.80 EUR. With delivery at 14.50 EUR it comes to 139.30 EUR.

  …
  Next best: what it would cost more to do without that line.`

	groupExample = `
  $ longpoint group my-workshop --on 2027-03-10
  Cutting together, Demo workshop (invented): all jobs

  by         batches  sticks  to pay EUR  rack EUR  net EUR  yield %  first-fit
  ─────────────────────────────────────────────────────────────────────────────
  …`

	quoteExample = `
  $ longpoint quote my-workshop --job 2711
  Quotation for job 2711 (walk-in), Demo workshop (invented): 1 frame, 4 sides

  profile  sides  net moulding mm  perimeter + 8 × width mm  a metre EUR
  ──────────────────────────────────────────────────────────────────────
  oak-56       4             2188                      2248        10.33

  way                         moulding mm    EUR
  ──────────────────────────────────────────────
  1 net moulding                     2188  22.61
  2 perimeter + 8 × width            2248  23.23
  …
  $ longpoint quote my-workshop --profile oak-32 --content "400 x 500"
  …`

	checkExample = `
  $ longpoint plan my-workshop --on 2027-03-10 --summary --out week.json
  Cutting plan for Demo workshop (invented): all jobs, ordered on 2027-03-10
  …
  $ longpoint check my-workshop week.json
  …`

	sheetsExample = `
  $ longpoint sheets my-workshop cuts summary --profile oak-56 --out to-print
  Written into to-print:
  file             piece    pages
  ───────────────────────────────
  cuts-oak-56.pdf  cuts         1
  summary.pdf      summary      1
  ───────────────────────────────
  all                           2`

	demoExample = `
  $ longpoint demo try-out
  The demo workshop is in try-out. To plan it: longpoint plan try-out`
)
