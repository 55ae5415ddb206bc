package job

import _ "embed" // the starting job

//go:embed start.json
var start []byte

// Start returns a small job of one lavatory, to begin a layout file with.
func Start() []byte { return append([]byte(nil), start...) }
