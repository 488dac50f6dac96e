package plan

import _ "embed"

//go:embed schema.json
var schema []byte

// Schema gives the JSON Schema (draft 2020-12) of the plan document. The caller must not change it.
func Schema() []byte { return schema }
