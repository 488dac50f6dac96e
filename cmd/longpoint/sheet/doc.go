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
//	cuts.go, labels.go, ticket.go, orders.go, summary.go   the pieces themselves
//	order.go     in which order sides are cut  qr.go       ids as QR codes     plotting.go   gonum's plots as Drawings
//	words.go     lengths, names and the caution in words
package sheet
