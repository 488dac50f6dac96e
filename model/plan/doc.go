// Package plan is the plan document: its types, its JSON and JSON Schema (schema.json), and the arithmetic that every reader of
// it needs: sums of figures, shares that add up exactly, names of price lists and lots. Nothing in it searches, and nothing reads
// or writes files.
//
// A document says for each profile which stick gives which sides, in which order they are cut and with which stop at what length; what
// is bought and what it costs; what each job comes to; and how much is known of the cost (Grade), with the certificates that
// prove it (package solver/check has their format). Lengths are nanometres, money is in minor units of the document's currency.
//
// Decode is strict: what the schema does not name is an error. It does not say that the plan is right: package audit does.
package plan
