// Package sheet makes what comes out of the printer: cut sheets, labels, job tickets, purchase orders and the week's
// summary, and single pictures of sticks.
//
// A piece (Piece) is a title and blocks: headings, paragraphs, lists, tables, drawings, labels. Cuts, Labels, Tickets,
// Orders and Summary make pieces of a plan document and its workshop; nothing is computed there that the plan does not
// say, save what is only drawn. Pages sets a piece on sheets of paper, HTML writes it for a browser.
//
// A page, like every picture, is a Drawing: shapes and words in millimetres of paper. SVG, PDF and PNG each write a
// Drawing, so that all three show the same.
//
// Lengths of moulding are whole nanometres up to the moment they are written as text (Near, Settings) or drawn. Where ink
// goes on paper is a float64 in millimetres, x to the right and y down; no number that is printed is ever computed from one.
//
//	drawing.go   shapes and words             font.go     the typeface, how wide words are
//	svg.go, pdf.go, png.go   the three ways out of a Drawing
//	stick.go     a stick long point up over its ruler (ruler.go, hatch.go), with what is left of it (remainder.go)
//	frame.go     a frame as it is joined
//	piece.go     pieces and their blocks       pages.go, table.go   pieces on paper      html.go   pieces in a browser
//	cuts.go, labels.go, ticket.go (cards.go), orders.go, quotation.go, summary.go   the pieces themselves
//	source.go    what is printed: a plan, a run (progress.go), an order      printing.go   how it is printed      files.go   pieces as files
//	asked.go, explain.go     the drawings beside a new shop's questions and in the manual (readsvg.go reads those back)
//	order.go     in which order sides are cut  qr.go       ids as QR codes     plotting.go   gonum's plots as Drawings
//	words.go     lengths, names and the caution in words
//
// What was decided, and why:
//
//   - Three kinds of marks (filled outlines, lines, words) and three small writers are our own. tdewolff/canvas does as much and more,
//     and brings 28 modules with it, a TeX engine and C encoders for pictures among them. A sheet needs straight lines, one typeface
//     and words of known width.
//   - The typeface is Liberation Sans. Of the 1,900 Latin and Cyrillic letters of Unicode it lacks 600, none of an alphabet
//     in use but two that have stand-ins; the Go fonts lack 1,500. What it lacks shows as □. SVG and HTML give each word's
//     width besides, so that a page keeps its form with whatever typeface a browser has.
//   - A stick is to scale along its length and taller than to scale: 40 mm of moulding to the scale of a 3 m stick on A4 would be
//     2.5 mm, too little to write in.
//   - No colours. What is hatched, crossed out, dashed or pale says it by that.
//   - Rows, pictures and headings with what follows them are set in order, each page taking as much as fits: those are the
//     fewest pages that keep the order.
//   - A job's ticket is set with a line a side, and again with a line for equal sides where that would go over the page.
//   - The QR code of a side is job/frame/copy/ring/letter, each name escaped as in a URL's path: readers of codes guess at the
//     alphabet of anything but ASCII. A code whose squares would be less than three dots of 300 to the inch is not printed. The
//     smallest label that has been read back is 30 × 9 mm.
//   - Label sheets are described by their user. There are no presets, hence no maker's numbers.
//   - A PDF file carries no time of day, so that the same plan gives the same bytes; the date that matters is printed on the
//     page. PDF files are not tagged for screen readers, which fpdf does not know of: that is what the HTML is for.
//   - The yield over weeks is that of the last 26 weeks up to the last in which a run was finished, and only a book
//     remembers it. Weeks without a finished run leave a gap in the line.
package sheet
