package rigfile

import _ "embed"

// starter is a commented rig file to begin with. It is tested to name every key of the format.
//
//go:embed starter.toml
var starter []byte

// Starter is the text of a commented rig file to begin with.
func Starter() []byte { return append([]byte(nil), starter...) }
