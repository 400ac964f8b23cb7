package htmlpage

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"math"
)

// A page carries some millions of numbers. Light spans many decades and is wanted to a share of
// itself, so its logarithm is rounded to whole steps; a step is mostly what its neighbours would
// make it, so only the rest is written, most often as one byte; and what is left of a pattern is
// taken out by DEFLATE. unpack.js is the way back.

// steps is how finely numbers are rounded: the whole steps of a logarithm over the least number
// that counts. A number takes 0 where it is below that.
type steps struct {
	Least float64 `json:"least"` // of which counts
	Fine  float64 `json:"fine"`  // steps to a factor of e
}

var (
	lightSteps = steps{1e-5, 120} // lx: within 0.42 %
	sightSteps = steps{1e-9, 400} // lx or cd/m²: within 0.13 %
)

func (s steps) of(v float64) int {
	if !(v >= s.Least) {
		return 0
	}
	return 1 + int(math.Round(s.Fine*math.Log(v/s.Least)))
}

// packer writes a header and tables of numbers.
type packer struct{ tables bytes.Buffer }

// table appends numbers in rows of some columns.
func (p *packer) table(values []float64, columns int, s steps) {
	codes := make([]int, len(values))
	for i, v := range values {
		codes[i] = s.of(v)
	}
	out := p.tables.AvailableBuffer()
	out = binary.AppendUvarint(out, uint64(len(values)/max(1, columns)))
	out = binary.AppendUvarint(out, uint64(columns))
	for i, c := range codes {
		out = binary.AppendVarint(out, int64(c-expected(codes, i, columns)))
	}
	p.tables.Write(out)
}

// expected is what a number would be by those before it in its row and in the row above: the plane
// through three of them, or at an edge, where there is none, the neighbour on this side of it (M.
// J. Weinberger et al., LOCO-I, IEEE Trans. Image Processing 9, 2000, 1309).
func expected(codes []int, i, columns int) int {
	before, above, corner := 0, 0, 0
	if i%columns > 0 {
		before = codes[i-1]
	}
	if i >= columns {
		above = codes[i-columns]
	}
	if i >= columns && i%columns > 0 {
		corner = codes[i-columns-1]
	}
	switch {
	case corner >= max(before, above):
		return min(before, above)
	case corner <= min(before, above):
		return max(before, above)
	}
	return before + above - corner
}

// Bytes are the tables so far.
func (p *packer) Bytes() []byte { return p.tables.Bytes() }

// packed is a header with its length before it, and tables: deflated, as base64.
func packed(head, tables []byte) (string, error) {
	const effort = 6 // more takes seconds and saves a hundredth
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, effort)
	if err != nil {
		return "", err
	}
	for _, part := range [][]byte{binary.LittleEndian.AppendUint32(nil, uint32(len(head))), head, tables} {
		if _, err := w.Write(part); err != nil {
			return "", err
		}
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(out.Bytes()), nil
}

// digest is a short name for some bytes.
func digest(parts ...[]byte) string {
	sum := sha256.Sum256(bytes.Join(parts, nil))
	return hex.EncodeToString(sum[:4])
}
